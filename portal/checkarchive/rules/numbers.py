"""Numbers, and values that need a partner."""

from collections.abc import Iterator

from portal.checkarchive.decimals import decimal
from portal.checkarchive.descriptor import whole
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row

Problems = Iterator[Problem]
_NUMBERS = (
    "sampleSizeValue",
    "minimumDepthInMeters",
    "maximumDepthInMeters",
    "minimumElevationInMeters",
    "maximumElevationInMeters",
    "minimumDistanceAboveSurfaceInMeters",
    "maximumDistanceAboveSurfaceInMeters",
    "decimalLatitude",
    "decimalLongitude",
    "samplingEffortValue",
    "totalAreaSampledValue",
    "geospatialScopeAreaValue",
    "eventDurationValue",
)
_WHOLE_NUMBERS = ("individualCount", "siteCount", "abundanceCap")
_POSITIVE = ("sampleSizeValue", "totalAreaSampledValue", "geospatialScopeAreaValue")
_PAIRS = (
    ("organismQuantity", "organismQuantityType"),
    ("sampleSizeValue", "sampleSizeUnit"),
    ("samplingEffortValue", "samplingEffortUnit"),
    ("totalAreaSampledValue", "totalAreaSampledUnit"),
    ("geospatialScopeAreaValue", "geospatialScopeAreaUnit"),
    ("eventDurationValue", "eventDurationUnit"),
)
_ORDERED = (
    ("minimumDepthInMeters", "maximumDepthInMeters"),
    ("minimumElevationInMeters", "maximumElevationInMeters"),
    ("minimumDistanceAboveSurfaceInMeters", "maximumDistanceAboveSurfaceInMeters"),
)
_PARTNERS = tuple(name for pair in _PAIRS for name in pair)
_LIMITS = tuple(name for pair in _ORDERED for name in pair)


@rule("number-form", "row", "Darwin Core and Humboldt terms: numeric values", needs=_NUMBERS)
def number_form(row: Row) -> Problems:
    """Write a number with a decimal point, without unit or marks between thousands."""
    for name in _NUMBERS:
        if row[name] and decimal(row[name]) is None:
            yield Problem(name, row[name])


@rule("quantity-form", "row", "Darwin Core term organismQuantity", needs=("organismQuantity",))
def quantity_form(row: Row) -> Problems:
    """Write a quantity of individuals as a number, 0 or more."""
    if row["organismQuantityType"].startswith("individuals") and row["organismQuantity"]:
        quantity = decimal(row["organismQuantity"])
        if quantity is None or quantity < 0:
            yield Problem("organismQuantity", row["organismQuantity"])


@rule(
    "whole-number-form",
    "row",
    "Darwin Core term individualCount; Humboldt terms",
    needs=_WHOLE_NUMBERS,
)
def whole_number(row: Row) -> Problems:
    """Write a whole number, 0 or more."""
    for name in _WHOLE_NUMBERS:
        if row[name] and whole(row[name]) is None:
            yield Problem(name, row[name])


@rule(
    "number-not-positive",
    "row",
    "Darwin Core term sampleSizeValue; Humboldt terms",
    needs=_POSITIVE,
)
def not_positive(row: Row) -> Problems:
    """Write a size above 0, or leave size and unit empty."""
    for name in _POSITIVE:
        number = decimal(row[name])
        if number is not None and number <= 0:
            yield Problem(name, row[name])


@rule(
    "pair-incomplete",
    "row",
    "Darwin Core term organismQuantityType; Humboldt terms",
    needs=_PARTNERS,
)
def pair(row: Row) -> Problems:
    """Fill value and unit (or type) together, or neither."""
    for value, unit in _PAIRS:
        if bool(row[value]) != bool(row[unit]):
            lacking, given = (unit, value) if row[value] else (value, unit)
            yield Problem(lacking, f"{given}={row[given]}")


@rule("range-order", "row", "Darwin Core term minimumDepthInMeters", needs=_LIMITS)
def order(row: Row) -> Problems:
    """Write the smaller number as the minimum."""
    for least, most in _ORDERED:
        low, high = decimal(row[least]), decimal(row[most])
        if low is not None and high is not None and low > high:
            yield Problem(least, f"{row[least]} > {row[most]}")
