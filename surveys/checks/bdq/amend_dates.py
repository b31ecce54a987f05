"""Amendments that offer a date for one written otherwise, or for its parts."""

from datetime import date

from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.periods import day_of_year, read_period
from surveys.checks.bdq.values import Parameters, Terms, integer, is_empty, text_of
from surveys.checks.bdq.verbatim_dates import Parts, read_date
from surveys.checks.response import (
    Response,
    amended,
    cannot_run,
    filled_in,
    not_amended,
)

LAST_JULIAN = "1918-02-14"  # the standard asks to say so for dates before
GREGORIAN = " The text was taken as a date of the Gregorian calendar."


def standardised(terms: Terms, term: str) -> Response:
    """Offer the ISO form of a date with one reading."""
    if is_empty(terms, term):
        return cannot_run(f"{term} is empty.")
    if read_period(text_of(terms, term)):
        return not_amended(f"{term} is already a date of ISO 8601.")
    meant = read_date(text_of(terms, term))
    if meant is None:
        return not_amended(f"{term} has no single reading as a date; nothing is guessed.")
    return amended({term: meant}, f"{term} has one reading as a date; confirm to change it.")


@bdq_test("AMENDMENT_EVENTDATE_STANDARDIZED")
def event_date(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the ISO form of the event date."""
    return standardised(terms, "dwc:eventDate")


@bdq_test("AMENDMENT_DATEIDENTIFIED_STANDARDIZED")
def date_identified(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the ISO form of the date of identification."""
    return standardised(terms, "dwc:dateIdentified")


@bdq_test("AMENDMENT_EVENTDATE_FROM_VERBATIM")
def from_verbatim(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the event date for the words it was noted in."""
    if not is_empty(terms, "dwc:eventDate") or is_empty(terms, "dwc:verbatimEventDate"):
        return cannot_run("dwc:eventDate is filled, or dwc:verbatimEventDate is empty.")
    meant = read_date(text_of(terms, "dwc:verbatimEventDate"))
    if meant is None:
        return not_amended("dwc:verbatimEventDate has no single reading as a date.")
    note = GREGORIAN if meant < LAST_JULIAN else ""
    text = f"dwc:verbatimEventDate has one reading as a date; confirm to fill it in.{note}"
    return filled_in({"dwc:eventDate": meant}, text)


@bdq_test("AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY")
def from_parts(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the event date for year, month and day, no finer than they are."""
    year = integer(text_of(terms, "dwc:year"))
    if not is_empty(terms, "dwc:eventDate") or year is None:
        return cannot_run("dwc:eventDate is filled, or dwc:year is no whole number.")
    month, day = (integer(text_of(terms, term)) for term in ("dwc:month", "dwc:day"))
    meant = Parts(year, month, None if month is None else day).iso()
    if meant is None:
        return not_amended("Year, month and day make no date of the calendar.")
    return filled_in({"dwc:eventDate": meant}, "The date follows from its parts; confirm it.")


@bdq_test("AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR")
def from_days_of_year(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Offer the interval from one day of a year to a later one."""
    names = ("dwc:year", "dwc:startDayOfYear", "dwc:endDayOfYear")
    if not is_empty(terms, "dwc:eventDate") or any(is_empty(terms, term) for term in names):
        return cannot_run("dwc:eventDate is filled, or year or days of the year are empty.")
    year, first, last = (integer(text_of(terms, term)) for term in names)
    meant = _interval(year, first, last)
    if meant is None:
        return not_amended("Year and days of the year make no interval of the calendar.")
    return filled_in({"dwc:eventDate": meant}, "The interval follows from the days; confirm it.")


def _interval(year: int | None, first: int | None, last: int | None) -> str | None:
    if year is None or first is None or last is None or first >= last:
        return None
    try:
        days = [day_of_year(year, number) for number in (first, last)]
    except (ValueError, OverflowError):
        return None
    return "/".join(day.isoformat() for day in days)
