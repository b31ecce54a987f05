"""Footprints: a POLYGON of well-known text, and how far its corners lie from a point.

Grammar: OGC Simple Feature Access, well-known text of a polygon in two dimensions.
"""

import re
from functools import lru_cache
from itertools import pairwise

_NUMBER = r"[+-]?\d{1,20}(?:\.\d{1,20})?(?:[eE][+-]?\d{1,2})?"
_POINT = rf"\s*{_NUMBER}\s+{_NUMBER}\s*"
_RING = re.compile(rf"\(({_POINT}(?:,{_POINT})*)\)", re.ASCII)
_POLYGON = re.compile(r"\s*POLYGON\s*\((.*)\)\s*", re.ASCII | re.IGNORECASE | re.DOTALL)
_RINGS = re.compile(rf"\s*{_RING.pattern}(?:\s*,\s*{_RING.pattern})*\s*", re.ASCII)
_FEWEST_POINTS = 4
_TOLERANCE_DEG = 1e-9
Point = tuple[float, float]
Ring = tuple[Point, ...]


def is_polygon(text: str) -> bool:
    """Tell whether a text begins as a polygon does."""
    return text.lstrip().upper().startswith("POLYGON")


@lru_cache(maxsize=4096)  # an archive has many rows and few cells
def polygon(text: str) -> tuple[Ring, ...] | None:
    """Return the rings (longitude, latitude), the outer first, or nothing if it cannot be read."""
    found = _POLYGON.fullmatch(text)
    if found is None or not _RINGS.fullmatch(found[1]):
        return None
    rings = tuple(_ring(ring[1]) for ring in _RING.finditer(found[1]))
    return rings if all(map(_is_closed, rings)) else None


def contains(ring: Ring, point: Point) -> bool:
    """Tell whether a point lies inside a ring or on its edge."""
    inside = False
    for start, end in pairwise(ring):
        if _is_on(start, end, point):
            return True
        if (start[1] > point[1]) != (end[1] > point[1]):
            slope = (end[0] - start[0]) / (end[1] - start[1])
            inside ^= point[0] < start[0] + slope * (point[1] - start[1])
    return inside


@lru_cache(maxsize=4096)
def farthest_corner_m(rings: tuple[Ring, ...], point: Point) -> float:
    """Return the distance [m] of the corner farthest from a point, on the ellipsoid of WGS 84."""
    # Imported here: the library is large, and archives without footprints do not need it.
    from pyproj import Geod  # noqa: PLC0415 -- heavy import

    geod = Geod(ellps="WGS84")
    return max(float(geod.inv(*point, *corner)[2]) for ring in rings for corner in ring)


def _ring(text: str) -> Ring:
    pairs = (pair.split() for pair in text.split(","))
    return tuple((float(x), float(y)) for x, y in pairs)


def _is_closed(ring: Ring) -> bool:
    return len(ring) >= _FEWEST_POINTS and ring[0] == ring[-1]


def _is_on(start: Point, end: Point, point: Point) -> bool:
    cross = (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (
        point[0] - start[0]
    )
    within = all(
        min(a, b) - _TOLERANCE_DEG <= c <= max(a, b) + _TOLERANCE_DEG
        for a, b, c in zip(start, end, point, strict=True)
    )
    return abs(cross) <= _TOLERANCE_DEG and within
