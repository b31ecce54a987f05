"""Tests of eventDate and dateIdentified: readable, in range, agreeing with their parts."""

from collections.abc import Iterator
from datetime import date

from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.periods import Period, Precision, read_period
from surveys.checks.bdq.values import Parameters, Terms, integer, is_empty, text_of
from surveys.checks.response import (
    Response,
    cannot_run,
    compliant,
    filled_in,
    measured,
    not_amended,
    not_compliant,
)

EARLIEST_EVENT = date(1582, 11, 15)  # default of the standard
EARLIEST_NAME = date(1753, 1, 1)  # default of the standard: the first plant names
PARTS = ("dwc:year", "dwc:month", "dwc:day", "dwc:startDayOfYear", "dwc:endDayOfYear")


def is_readable(terms: Terms, term: str) -> Response:
    """Tell whether a term holds a date of ISO 8601 that is in the calendar."""
    if is_empty(terms, term):
        return cannot_run(f"{term} is empty.")
    if read_period(text_of(terms, term)):
        return compliant(f"{term} is a date of ISO 8601.")
    return not_compliant(
        "date-not-readable",
        "{term} is no date of ISO 8601 in the calendar. Write {expected}, or two of these with "
        "a slash between.",
        term=term,
        expected="YYYY-MM-DD, YYYY-MM or YYYY",
    )


@bdq_test("VALIDATION_EVENTDATE_STANDARD")
def event_readable(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the form of the event date."""
    return is_readable(terms, "dwc:eventDate")


@bdq_test("VALIDATION_DATEIDENTIFIED_STANDARD")
def identified_readable(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the form of the date of identification."""
    return is_readable(terms, "dwc:dateIdentified")


def limits_of(parameters: Parameters, earliest: date, latest: date) -> tuple[date, date]:
    """Return the first and last valid day that were asked for, else the defaults."""
    first = read_period(parameters.get("bdqval:earliestValidDate", ""))
    last = read_period(parameters.get("bdqval:latestValidDate", ""))
    return (first.first_day if first else earliest, last.last_day if last else latest)


def out_of_range(term: str, first: date, last: date) -> Response:
    """Word a date outside its range."""
    return not_compliant(
        "date-out-of-range",
        "{term} must lie within {expected}. Check the year first.",
        term=term,
        expected=f"{first.isoformat()} to {last.isoformat()}",
    )


@bdq_test("VALIDATION_EVENTDATE_INRANGE")
def event_in_range(terms: Terms, parameters: Parameters, now: date) -> Response:
    """Judge the event date; by default the whole current year is in range."""
    period = read_period(text_of(terms, "dwc:eventDate"))
    if period is None:
        return cannot_run("dwc:eventDate holds no readable date.")
    first, last = limits_of(parameters, EARLIEST_EVENT, date(now.year, 12, 31))
    if first <= period.first_day and period.last_day <= last:
        return compliant("dwc:eventDate lies in its range.")
    return out_of_range("dwc:eventDate", first, last)


@bdq_test("VALIDATION_DATEIDENTIFIED_INRANGE")
def identified_in_range(terms: Terms, parameters: Parameters, now: date) -> Response:
    """Judge the date of identification, which cannot end before the event starts."""
    period = read_period(text_of(terms, "dwc:dateIdentified"))
    if period is None:
        return cannot_run("dwc:dateIdentified holds no readable date.")
    first, last = limits_of(parameters, EARLIEST_NAME, now)
    with_event = parameters.get("bdqval:includeEventDate", "true") != "false"
    if with_event and not is_empty(terms, "dwc:eventDate"):
        event = read_period(text_of(terms, "dwc:eventDate"))
        if event is None:
            return cannot_run("dwc:eventDate holds no readable date to compare with.")
        if period.last_day < event.first_day:
            return not_compliant(
                "identified-before-event",
                "dwc:dateIdentified ends before dwc:eventDate starts. Correct one of them.",
            )
    if first <= period.first_day and period.last_day <= last:
        return compliant("dwc:dateIdentified lies in its range and not before the event.")
    return out_of_range("dwc:dateIdentified", first, last)


def parts_of(period: Period) -> dict[str, int]:
    """Return the parts that a date is fine and narrow enough to have."""
    first, last = period.first_day, period.last_day
    precision = period.precision
    by_day = precision >= Precision.DAY
    known = {
        "dwc:year": (first.year == last.year, first.year),
        "dwc:month": (
            precision >= Precision.MONTH and (first.year, first.month) == (last.year, last.month),
            first.month,
        ),
        "dwc:day": (by_day and first == last, first.day),
        "dwc:startDayOfYear": (by_day, first.timetuple().tm_yday),
        "dwc:endDayOfYear": (by_day, last.timetuple().tm_yday),
    }
    return {term: value for term, (is_known, value) in known.items() if is_known}


@bdq_test("VALIDATION_EVENT_CONSISTENT")
def event_consistent(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Tell whether the filled parts are those of the event date."""
    filled = [term for term in PARTS if not is_empty(terms, term)]
    if is_empty(terms, "dwc:eventDate") or not filled:
        return cannot_run("dwc:eventDate, or everything it could be compared with, is empty.")
    differing = list(_differing(terms, filled))
    if not differing:
        return compliant("The parts of the date agree with dwc:eventDate.")
    return not_compliant(
        "date-parts-differ",
        "dwc:eventDate does not give the same value for {received}. Correct it, or leave a part "
        "empty that a coarse date cannot have.",
        received=", ".join(differing),
    )


def _differing(terms: Terms, filled: list[str]) -> Iterator[str]:
    period = read_period(text_of(terms, "dwc:eventDate"))
    parts = parts_of(period) if period else {}
    for term in filled:
        value = integer(text_of(terms, term))
        if value is None or parts.get(term) != value:
            yield term


@bdq_test("AMENDMENT_EVENT_FROM_EVENTDATE")
def fill_parts(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the empty parts that the event date determines."""
    period = read_period(text_of(terms, "dwc:eventDate"))
    if period is None:
        return cannot_run("dwc:eventDate holds no readable date.")
    values = {term: str(value) for term, value in parts_of(period).items() if is_empty(terms, term)}
    if not values:
        return not_amended("dwc:eventDate determines no part that is empty.")
    return filled_in(values, "Empty parts of the date can be filled from dwc:eventDate.")


@bdq_test("MEASURE_EVENTDATE_DURATIONINSECONDS")
def duration(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Measure how long the event date lasts."""
    period = read_period(text_of(terms, "dwc:eventDate"))
    if period is None:
        return cannot_run("dwc:eventDate holds no readable date.")
    return measured(period.seconds, f"dwc:eventDate lasts {period.seconds} seconds.")
