"""Tests that ask whether a number lies in its range, and a lower below an upper bound."""

from datetime import date
from decimal import Decimal

from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.values import Parameters, Terms, is_empty, number, plain, text_of
from surveys.checks.response import Response, cannot_run, compliant, not_compliant

HALF_EQUATOR_M = Decimal(20037509)
DEPTH_M = (Decimal(0), Decimal(11000))  # default of the standard: the deepest sea
ELEVATION_M = (Decimal(-430), Decimal(8850))  # default of the standard
Limits = tuple[Decimal, Decimal]


def in_range(terms: Terms, term: str, limits: Limits, *, lowest_read: Decimal | None) -> Response:
    """Judge one number; what reads lower than ``lowest_read`` is no number of its kind."""
    value = number(text_of(terms, term))
    if value is None or (lowest_read is not None and value < lowest_read):
        return cannot_run(f"{term} holds no number of its kind, so its range cannot be judged.")
    return within(value, term, limits)


def within(value: Decimal | None, term: str, limits: Limits) -> Response:
    """Judge a number against limits, both included."""
    lowest, highest = limits
    if value is not None and lowest <= value <= highest:
        return compliant(f"{term} lies in {plain(lowest)} to {plain(highest)}.")
    return not_compliant(
        "number-out-of-range",
        "{term} must be a number from {expected}. Check the digits, the sign and the unit.",
        term=term,
        expected=f"{plain(lowest)} to {plain(highest)}",
    )


def limits_of(parameters: Parameters, names: tuple[str, str], defaults: Limits) -> Limits:
    """Return the limits that were asked for, else the defaults."""
    lowest, highest = (
        number(parameters.get(name, "")) if parameters.get(name) else default
        for name, default in zip(names, defaults, strict=True)
    )
    return (defaults[0] if lowest is None else lowest, defaults[1] if highest is None else highest)


@bdq_test("VALIDATION_DECIMALLATITUDE_INRANGE")
def latitude(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the latitude."""
    return in_range(terms, "dwc:decimalLatitude", (Decimal(-90), Decimal(90)), lowest_read=None)


@bdq_test("VALIDATION_DECIMALLONGITUDE_INRANGE")
def longitude(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the longitude."""
    return in_range(terms, "dwc:decimalLongitude", (Decimal(-180), Decimal(180)), lowest_read=None)


@bdq_test("VALIDATION_COORDINATES_NOTZERO")
def not_zero(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Refuse the point 0, 0, a frequent stand-in for nothing."""
    axes = [
        number(text_of(terms, term)) for term in ("dwc:decimalLatitude", "dwc:decimalLongitude")
    ]
    if None in axes:
        return cannot_run("Latitude and longitude are not both numbers.")
    if any(axes):
        return compliant("The coordinates are not 0, 0.")
    return not_compliant(
        "coordinates-zero", "The coordinates are 0, 0. Send the real ones or leave them out."
    )


@bdq_test("VALIDATION_COORDINATEUNCERTAINTY_INRANGE")
def uncertainty(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the radius of uncertainty; anything but a number is out of range too."""
    term = "dwc:coordinateUncertaintyInMeters"
    if is_empty(terms, term):
        return cannot_run(f"{term} is empty.")
    return within(number(text_of(terms, term)), term, (Decimal(1), HALF_EQUATOR_M))


def depth(terms: Terms, parameters: Parameters, term: str) -> Response:
    """Judge a depth below the surface."""
    names = ("bdqval:minimumValidDepthInMeters", "bdqval:maximumValidDepthInMeters")
    limits = limits_of(parameters, names, DEPTH_M)
    return in_range(terms, term, limits, lowest_read=Decimal(0))


@bdq_test("VALIDATION_MINDEPTH_INRANGE")
def lowest_depth(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the upper end of a depth."""
    return depth(terms, parameters, "dwc:minimumDepthInMeters")


@bdq_test("VALIDATION_MAXDEPTH_INRANGE")
def highest_depth(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the lower end of a depth."""
    return depth(terms, parameters, "dwc:maximumDepthInMeters")


def elevation(terms: Terms, parameters: Parameters, term: str) -> Response:
    """Judge a height above the sea."""
    names = ("bdqval:minimumValidElevationInMeters", "bdqval:maximumValidElevationInMeters")
    return in_range(terms, term, limits_of(parameters, names, ELEVATION_M), lowest_read=None)


@bdq_test("VALIDATION_MINELEVATION_INRANGE")
def lowest_elevation(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the lower end of a height."""
    return elevation(terms, parameters, "dwc:minimumElevationInMeters")


@bdq_test("VALIDATION_MAXELEVATION_INRANGE")
def highest_elevation(terms: Terms, parameters: Parameters, _now: date) -> Response:
    """Judge the upper end of a height."""
    return elevation(terms, parameters, "dwc:maximumElevationInMeters")


def ordered(terms: Terms, names: tuple[str, str], lowest_read: Decimal | None) -> Response:
    """Tell whether the first of two numbers is not above the second."""
    values = [
        value
        for term in names
        if (value := number(text_of(terms, term))) is not None
        and (lowest_read is None or value >= lowest_read)
    ]
    lower, upper = names
    if len(values) < len(names):
        return cannot_run(f"{lower} and {upper} do not both hold a number of their kind.")
    if values[0] <= values[1]:
        return compliant(f"{lower} is not above {upper}.")
    return not_compliant(
        "bounds-reversed",
        "{lower} is above {upper}. Exchange the two, or correct the wrong one.",
        lower=lower,
        upper=upper,
    )


@bdq_test("VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH")
def depths_ordered(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether the depths are in order."""
    names = ("dwc:minimumDepthInMeters", "dwc:maximumDepthInMeters")
    return ordered(terms, names, Decimal(0))


@bdq_test("VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION")
def elevations_ordered(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether the heights are in order."""
    return ordered(terms, ("dwc:minimumElevationInMeters", "dwc:maximumElevationInMeters"), None)
