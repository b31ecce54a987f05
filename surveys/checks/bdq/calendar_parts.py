"""Tests of year, month, day and day of the year, each by itself."""

import calendar
from datetime import date

from surveys.checks.bdq.catalogue import bdq_test
from surveys.checks.bdq.periods import read_period
from surveys.checks.bdq.values import Parameters, Terms, integer, is_empty, text_of
from surveys.checks.response import Response, cannot_run, compliant, not_compliant

EARLIEST_YEAR = 1582  # default of the standard: the Gregorian calendar
FEBRUARY = 2
EVERY_MONTH_DAYS = 28
LONGEST_MONTH_DAYS = 31
MONTHS = 12
YEAR_DAYS = 365
LEAP_YEAR = 2000


def whole_in_range(terms: Terms, term: str, lowest: int, highest: int) -> Response:
    """Judge a whole number; anything else that is filled is out of range too."""
    if is_empty(terms, term):
        return cannot_run(f"{term} is empty.")
    value = integer(text_of(terms, term))
    return verdict(term, lowest, highest, holds=value is not None and lowest <= value <= highest)


def verdict(term: str, lowest: int, highest: int, *, holds: bool) -> Response:
    """Word the judgement of a whole number."""
    if holds:
        return compliant(f"{term} lies in its range.")
    return not_compliant(
        "number-out-of-range",
        "{term} must be a whole number from {expected}, in digits.",
        term=term,
        expected=f"{lowest} to {highest}",
    )


@bdq_test("VALIDATION_MONTH_STANDARD")
def month(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the month."""
    return whole_in_range(terms, "dwc:month", 1, MONTHS)


@bdq_test("VALIDATION_DAY_STANDARD")
def day(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the day of the month without looking at the month."""
    return whole_in_range(terms, "dwc:day", 1, LONGEST_MONTH_DAYS)


@bdq_test("VALIDATION_DAY_INRANGE")
def day_of_month(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the day against the length of its month."""
    number = integer(text_of(terms, "dwc:day"))
    if number is None:
        return cannot_run("dwc:day holds no whole number.")
    if not EVERY_MONTH_DAYS < number <= LONGEST_MONTH_DAYS:
        return verdict("dwc:day", 1, LONGEST_MONTH_DAYS, holds=1 <= number <= EVERY_MONTH_DAYS)
    longest = month_days(terms, number)
    if longest is None:
        return cannot_run("Month or year needed to judge the day are missing or unreadable.")
    return verdict("dwc:day", 1, longest, holds=number <= longest)


def month_days(terms: Terms, number: int) -> int | None:
    """Return the length of the month; the year matters only for 29 February."""
    month_number = integer(text_of(terms, "dwc:month"))
    if month_number is None or not 1 <= month_number <= MONTHS:
        return None
    year = integer(text_of(terms, "dwc:year"))
    if (month_number, number) == (FEBRUARY, EVERY_MONTH_DAYS + 1):
        if year is None:
            return None
        return EVERY_MONTH_DAYS + calendar.isleap(year)
    return calendar.monthrange(LEAP_YEAR, month_number)[1]


@bdq_test("VALIDATION_YEAR_INRANGE")
def year(terms: Terms, parameters: Parameters, now: date) -> Response:
    """Judge the year."""
    number = integer(text_of(terms, "dwc:year"))
    if number is None:
        return cannot_run("dwc:year holds no whole number.")
    earliest = read_period(parameters.get("bdqval:earliestValidDate", ""))
    latest = read_period(parameters.get("bdqval:latestValidDate", ""))
    lowest = earliest.first_day.year if earliest else EARLIEST_YEAR
    highest = latest.last_day.year if latest else now.year
    return verdict("dwc:year", lowest, highest, holds=lowest <= number <= highest)


@bdq_test("VALIDATION_STARTDAYOFYEAR_INRANGE")
def start_day(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the first day of the year."""
    period = read_period(text_of(terms, "dwc:eventDate"))
    return judge_day(terms, "dwc:startDayOfYear", period.first_day.year if period else None)


@bdq_test("VALIDATION_ENDDAYOFYEAR_INRANGE")
def end_day(terms: Terms, _parameters: Parameters, _now: date) -> Response:
    """Judge the last day of the year."""
    period = read_period(text_of(terms, "dwc:eventDate"))
    return judge_day(terms, "dwc:endDayOfYear", period.last_day.year if period else None)


def judge_day(terms: Terms, term: str, in_year: int | None) -> Response:
    """Judge a day of the year; only day 366 needs to know which year."""
    if integer(text_of(terms, term)) != YEAR_DAYS + 1:
        return whole_in_range(terms, term, 1, YEAR_DAYS)
    if in_year is None:
        return cannot_run(f"{term} is 366 and dwc:eventDate gives no year to judge it by.")
    return whole_in_range(terms, term, 1, YEAR_DAYS + calendar.isleap(in_year))
