"""Coordinates, their datum, precision and uncertainty."""

from collections.abc import Iterator

from portal.checkarchive.decimals import EASTMOST_DEG, NORTHMOST_DEG, decimal, decimal_places
from portal.checkarchive.descriptor import whole
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row

Problems = Iterator[Problem]
_PLACE = ("decimalLatitude", "decimalLongitude")
_BOUNDS = (("decimalLatitude", NORTHMOST_DEG), ("decimalLongitude", EASTMOST_DEG))
_COARSEST_DEG = 90


@rule("coordinate-pair", "row", "Darwin Core term decimalLatitude", needs=_PLACE)
def pair(row: Row) -> Problems:
    """Fill latitude and longitude together, or neither."""
    if bool(row["decimalLatitude"]) != bool(row["decimalLongitude"]):
        lacking = "decimalLongitude" if row["decimalLatitude"] else "decimalLatitude"
        yield Problem(lacking)


@rule(
    "coordinate-range", "row", "Darwin Core terms decimalLatitude, decimalLongitude", needs=_PLACE
)
def bounds(row: Row) -> Problems:
    """Write latitude between -90 and 90 and longitude between -180 and 180."""
    for name, most in _BOUNDS:
        degrees = decimal(row[name])
        if degrees is not None and abs(degrees) > most:
            yield Problem(name, row[name])


@rule("coordinate-zero", "row", "common practice, no source", needs=_PLACE)
def zero(row: Row) -> Problems:
    """Leave coordinates empty where they are unknown: 0, 0 is a place in the sea."""
    if decimal(row["decimalLatitude"]) == 0 and decimal(row["decimalLongitude"]) == 0:
        yield Problem("decimalLatitude", "0, 0")


@rule("coordinate-datum", "row", "Darwin Core term geodeticDatum", needs=_PLACE)
def datum(row: Row) -> Problems:
    """Name the geodetic datum of the coordinates, such as EPSG:4326."""
    if row["decimalLatitude"] and row["decimalLongitude"] and not row["geodeticDatum"]:
        yield Problem("geodeticDatum")


@rule(
    "coordinate-decimals",
    "row",
    "Darwin Core term coordinatePrecision",
    severity="warning",
    needs=("coordinatePrecision",),
)
def decimals(row: Row) -> Problems:
    """Write no more decimals than the precision justifies, one more for the centre of a cell."""
    precision = row["coordinatePrecision"]
    if decimal(precision) is None or "e" in precision.lower():
        return
    for name in _PLACE:
        if decimal_places(row[name]) > decimal_places(precision) + 1:
            yield Problem(name, row[name])


@rule(
    "precision-value", "row", "Darwin Core term coordinatePrecision", needs=("coordinatePrecision",)
)
def precision(row: Row) -> Problems:
    """Write the precision in degrees, above 0; metres belong to the uncertainty."""
    degrees = decimal(row["coordinatePrecision"])
    is_wrong = degrees is None or not 0 < degrees <= _COARSEST_DEG
    if row["coordinatePrecision"] and is_wrong:
        yield Problem("coordinatePrecision", row["coordinatePrecision"])


@rule(
    "uncertainty-value",
    "row",
    "Darwin Core term coordinateUncertaintyInMeters",
    needs=("coordinateUncertaintyInMeters",),
)
def uncertainty(row: Row) -> Problems:
    """Write the uncertainty in whole metres, 1 or more; empty where it is unknown."""
    text = row["coordinateUncertaintyInMeters"]
    if text and not whole(text):
        yield Problem("coordinateUncertaintyInMeters", text)


@rule(
    "uncertainty-missing",
    "row",
    "Darwin Core term coordinateUncertaintyInMeters",
    severity="warning",
    needs=_PLACE,
)
def uncertainty_missing(row: Row) -> Problems:
    """Say how far the true place may lie from the coordinates."""
    if row["decimalLatitude"] and not row["coordinateUncertaintyInMeters"]:
        yield Problem("coordinateUncertaintyInMeters")
