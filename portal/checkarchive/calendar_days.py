"""Dates of ISO 8601 by the calendar: a day, month or year, with a time, or two of them.

Week dates and ordinal dates are not read.
"""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

_TIME = r"T([01]\d|2[0-4])(:?[0-5]\d(:?[0-5]\d([.,]\d+)?)?)?(Z|[+-]([01]\d|2[0-3])(:?[0-5]\d)?)?"
_POINT = re.compile(rf"(?P<year>\d{{4}})(-(?P<month>\d\d)(-(?P<day>\d\d)({_TIME})?)?)?", re.ASCII)
_TIME_ALONE = re.compile(_TIME[1:], re.ASCII)


@dataclass(frozen=True)
class Span:
    """From the first day to the last, and year, month and day where they are one for all of it."""

    first_on: date
    last_on: date
    year: int | None
    month: int | None
    day: int | None


@lru_cache(maxsize=4096)  # an archive has many rows and few days
def span_of(text: str) -> Span | None:
    """Return the days that a text names, or nothing if it is no date."""
    start_text, is_interval, end_text = text.partition("/")
    start = _point(start_text)
    if start is None or not is_interval:
        return start
    end = _end(start_text, end_text)
    return None if end is None else _between(start, end)


def is_day_interval(text: str) -> bool:
    """Tell whether a text is an interval of days without times."""
    return "/" in text and "T" not in text


def _end(start_text: str, end_text: str) -> Span | None:
    """Return the end of an interval, which may leave out what it shares with the start."""
    if not end_text:
        return None
    if "T" in start_text and _TIME_ALONE.fullmatch(end_text):
        return _point(f"{start_text.partition('T')[0]}T{end_text}")
    day_text = start_text.partition("T")[0]
    date_part = end_text.partition("T")[0]
    return (
        _point(end_text)
        if len(date_part) >= len(day_text)
        else _point(day_text[: len(day_text) - len(date_part)] + end_text) or _point(end_text)
    )


def _point(text: str) -> Span | None:
    found = _POINT.fullmatch(text)
    if found is None:
        return None
    year, month, day = (int(part) if part else None for part in found.group("year", "month", "day"))
    try:
        first = date(year or 0, month or 1, day or 1)
    except ValueError:
        return None
    last_month = month or 12
    last = date(first.year, last_month, day or monthrange(first.year, last_month)[1])
    return Span(first, last, year, month, day)


def _between(start: Span, end: Span) -> Span:
    year = start.year if start.year == end.year else None
    month = start.month if year and start.month == end.month else None
    day = start.day if month and start.day == end.day else None
    return Span(start.first_on, end.last_on, year, month, day)
