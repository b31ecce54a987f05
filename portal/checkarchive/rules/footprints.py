"""Outlines of places."""

from collections.abc import Iterator

from portal.checkarchive.decimals import EASTMOST_DEG, NORTHMOST_DEG, decimal, point
from portal.checkarchive.findings import Problem
from portal.checkarchive.places import Point, Ring, contains, farthest_corner_m, is_polygon, polygon
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row

Problems = Iterator[Problem]
_TERM = "Darwin Core term footprintWKT"
_NEEDS = ("footprintWKT",)
_WGS84 = {"EPSG:4326", "WGS84", "WGS 84"}
_TOLERANCE_M = 1e-3


@rule("footprint-form", "row", f"{_TERM}; OGC well-known text", needs=_NEEDS)
def form(row: Row) -> Problems:
    """Write POLYGON ((longitude latitude, ...)) with rings that end where they begin."""
    text = row["footprintWKT"]
    if is_polygon(text) and polygon(text) is None:
        yield Problem("footprintWKT", text)


@rule("footprint-not-judged", "row", _TERM, severity="note", needs=_NEEDS)
def not_judged(row: Row) -> Problems:
    """Know that only a POLYGON is judged here."""
    if row["footprintWKT"] and not is_polygon(row["footprintWKT"]):
        yield Problem("footprintWKT", row["footprintWKT"])


@rule(
    "footprint-system",
    "row",
    "Darwin Core term footprintSRS",
    needs=("footprintWKT", "footprintSRS"),
)
def system(row: Row) -> Problems:
    """Fill footprintWKT and footprintSRS together, or neither."""
    if bool(row["footprintWKT"]) != bool(row["footprintSRS"]):
        yield Problem("footprintSRS" if row["footprintWKT"] else "footprintWKT")


@rule("footprint-axes", "row", f"{_TERM}; OGC well-known text", needs=_NEEDS)
def axes(row: Row) -> Problems:
    """Write longitude before latitude."""
    rings, centre = _outline(row), _centre(row)
    if rings and (_is_beyond(rings) or (centre and _is_swapped(rings[0], centre))):
        yield Problem("footprintWKT", row["footprintWKT"])


@rule("footprint-centre", "row", _TERM, needs=_NEEDS)
def centre_outside(row: Row) -> Problems:
    """Place the coordinates inside the outline."""
    rings, centre = _outline(row), _centre(row)
    if rings is None or centre is None or _is_beyond(rings) or _is_swapped(rings[0], centre):
        return
    in_hole = any(contains(hole, centre) for hole in rings[1:])
    if in_hole or not contains(rings[0], centre):
        yield Problem("footprintWKT", row["footprintWKT"])


@rule(
    "uncertainty-too-small", "row", "Darwin Core term coordinateUncertaintyInMeters", needs=_NEEDS
)
def too_small(row: Row) -> Problems:
    """Round the distance to the farthest corner of the outline up to whole metres."""
    rings, centre = _outline(row), _centre(row)
    uncertainty_m = decimal(row["coordinateUncertaintyInMeters"])
    if rings is None or centre is None or not uncertainty_m or _is_beyond(rings):
        return
    if row["geodeticDatum"] in _WGS84 and contains(rings[0], centre):
        needed_m = farthest_corner_m(rings, centre)
        if uncertainty_m + _TOLERANCE_M < needed_m:
            yield Problem("coordinateUncertaintyInMeters", f"{uncertainty_m:g} < {needed_m:.1f}")


def _outline(row: Row) -> tuple[Ring, ...] | None:
    """Return the rings, if they are in degrees of the same system as the coordinates."""
    return polygon(row["footprintWKT"]) if row["footprintSRS"] in _WGS84 else None


def _centre(row: Row) -> Point | None:
    return point(row["decimalLongitude"], row["decimalLatitude"])


def _is_beyond(rings: tuple[Ring, ...]) -> bool:
    return any(abs(x) > EASTMOST_DEG or abs(y) > NORTHMOST_DEG for ring in rings for x, y in ring)


def _is_swapped(ring: Ring, centre: Point) -> bool:
    return not contains(ring, centre) and contains(ring, (centre[1], centre[0]))
