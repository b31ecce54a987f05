"""One kind of geometry in a collection: the outline of the square a published place lies in."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any


@dataclass(frozen=True)
class Outlined:
    """Where a feature lies, by its outline alone; an empty one is no place."""

    footprint_wkt: str
    longitude: None = None
    latitude: None = None


def outlined(row: Any) -> Outlined:
    """Return the cell of a row; a place shown by its coordinates is the square they round to.

    Clients take the kind of geometry from the first page, so that a point among outlines would
    be lost or stop them.
    """
    if row.footprint_wkt or row.cell_level == 0 or row.precision_deg is None:
        return Outlined(row.footprint_wkt)
    half = Decimal(repr(row.precision_deg)) / 2
    longitude, latitude = Decimal(repr(row.longitude)), Decimal(repr(row.latitude))
    west, east, south, north = longitude - half, longitude + half, latitude - half, latitude + half
    corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    ring = ", ".join(f"{x:f} {y:f}" for x, y in corners)
    return Outlined(f"POLYGON (({ring}))")
