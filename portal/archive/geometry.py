"""Where a published row lies: the outline of its cell, as GeoJSON and as well-known binary.

Longitude comes first in both (RFC 7946, section 3.1.1; GeoParquet 1.1 for OGC:CRS84).
"""

import re
import struct
from collections.abc import Iterable
from typing import Any

Ring = list[tuple[float, float]]
Place = Ring | None
Box = tuple[float, float, float, float]

_OUTLINE = re.compile(r"POLYGON \(\((?P<ring>[^()]+)\)\)")
_LITTLE_ENDIAN = 1
_POINT, _POLYGON = 1, 3  # OGC 06-103r4, table 7


def place_of(outline: str, longitude: float | None, latitude: float | None) -> Place:
    """Return the outline of a cell, or the point where there is none, or nothing."""
    written = _OUTLINE.fullmatch(outline)
    if written is not None:
        corners = [corner.split() for corner in written["ring"].split(",")]
        return [(float(east), float(north)) for east, north in corners]
    if latitude is None or longitude is None:
        return None
    return [(longitude, latitude)]


def as_geojson(place: Place) -> dict[str, Any] | None:
    """Return a geometry object; outlines run counter-clockwise as the archive writes them."""
    if place is None:
        return None
    positions = [list(position) for position in place]
    if len(positions) == 1:
        return {"type": "Point", "coordinates": positions[0]}
    return {"type": "Polygon", "coordinates": [positions]}


def as_wkb(place: Place) -> bytes | None:
    """Return well-known binary."""
    if place is None:
        return None
    if len(place) == 1:
        return struct.pack("<BIdd", _LITTLE_ENDIAN, _POINT, *place[0])
    numbers = [number for position in place for number in position]
    head = struct.pack("<BIII", _LITTLE_ENDIAN, _POLYGON, 1, len(place))
    return head + struct.pack(f"<{len(numbers)}d", *numbers)


def box_around(places: Iterable[Place]) -> Box | None:
    """Return west, south, east and north of places, or nothing if none has coordinates."""
    positions = [position for place in places if place is not None for position in place]
    if not positions:
        return None
    longitudes, latitudes = zip(*positions, strict=True)
    return min(longitudes), min(latitudes), max(longitudes), max(latitudes)
