"""ISO 8601 dates, date-times and intervals as Darwin Core writes them, read strictly.

Taken: YYYY, YYYY-MM, YYYY-MM-DD, YYYY-DDD, YYYY-Www[-D], a time from the hour on with a zone,
and two of these with "/" between, the end shortened if wished. The compact form is refused.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import IntEnum

DAY_SECONDS = 86_400
MOMENT = re.compile(
    r"(?P<year>[0-9]{4})"
    r"(?:-(?P<month>[0-9]{2})(?:-(?P<day>[0-9]{2}))?"
    r"|-(?P<day_of_year>[0-9]{3})"
    r"|-W(?P<week>[0-9]{2})(?:-(?P<weekday>[1-7]))?)?"
    r"(?:T(?P<hour>[01][0-9]|2[0-3])(?::(?P<minute>[0-5][0-9])"
    r"(?::(?P<second>[0-5][0-9])(?:[.,][0-9]+)?)?)?"
    r"(?P<zone>Z|[+-][0-9]{2}(?::?[0-5][0-9])?)?)?"
)


class Precision(IntEnum):
    """How fine a date is, coarsest first."""

    YEAR = 1
    MONTH = 2
    WEEK = 3
    DAY = 4
    HOUR = 5
    MINUTE = 6
    SECOND = 7


UNIT_SECONDS = {Precision.HOUR: 3600, Precision.MINUTE: 60, Precision.SECOND: 1}


@dataclass(frozen=True)
class Moment:
    """One date or date-time: the days it covers, and seconds after midnight UTC or local."""

    first_day: date
    last_day: date
    precision: Precision
    seconds: int


@dataclass(frozen=True)
class Period:
    """A date or an interval; both ends belong to it."""

    start: Moment
    end: Moment
    is_interval: bool

    @property
    def first_day(self) -> date:
        """Return the first day."""
        return self.start.first_day

    @property
    def last_day(self) -> date:
        """Return the last day."""
        return self.end.last_day

    @property
    def precision(self) -> Precision:
        """Return the precision of the coarser end."""
        return min(self.start.precision, self.end.precision)

    @property
    def seconds(self) -> int:
        """Return the length [s], each day as 86 400 s."""
        begin = self.first_day.toordinal() * DAY_SECONDS + self.start.seconds
        return _end_seconds(self.end, is_interval=self.is_interval) - begin


def _end_seconds(end: Moment, *, is_interval: bool) -> int:
    if end.precision < Precision.HOUR:
        return (end.last_day.toordinal() + 1) * DAY_SECONDS
    instant = end.last_day.toordinal() * DAY_SECONDS + end.seconds
    return instant if is_interval else instant + UNIT_SECONDS[end.precision]


def read_period(text: str) -> Period | None:
    """Read a date, date-time or interval; nothing if it is none or not in the calendar."""
    first, slash, second = text.partition("/")
    start = read_moment(first)
    if start is None:
        return None
    if not slash:
        return Period(start, start, is_interval=False)
    end = read_moment(second) or read_moment(_lengthened(first, second))
    if end is None:
        return None
    period = Period(start, end, is_interval=True)
    return period if start.first_day <= end.last_day and period.seconds >= 0 else None


def _lengthened(start: str, end: str) -> str:
    """Give a shortened end what it shares with the start: 1880-05-08/10 is two days later."""
    return start[: -len(end)] + end if 0 < len(end) < len(start) else ""


def read_moment(text: str) -> Moment | None:
    """Read one date or date-time."""
    match = MOMENT.fullmatch(text)
    if match is None:
        return None
    try:
        moment = _days(match)
    except ValueError:
        return None
    return moment if match["hour"] is None else _with_time(moment, match)


def _days(match: re.Match[str]) -> Moment:
    year = int(match["year"])
    if match["day"]:
        day = date(year, int(match["month"]), int(match["day"]))
        return Moment(day, day, Precision.DAY, 0)
    if match["month"]:
        first = date(year, int(match["month"]), 1)
        last = first.replace(day=calendar.monthrange(year, first.month)[1])
        return Moment(first, last, Precision.MONTH, 0)
    if match["day_of_year"]:
        day = day_of_year(year, int(match["day_of_year"]))
        return Moment(day, day, Precision.DAY, 0)
    return _week(match) if match["week"] else _year(year)


def _year(year: int) -> Moment:
    return Moment(date(year, 1, 1), date(year, 12, 31), Precision.YEAR, 0)


def _week(match: re.Match[str]) -> Moment:
    year, week = int(match["year"]), int(match["week"])
    if match["weekday"]:
        day = date.fromisocalendar(year, week, int(match["weekday"]))
        return Moment(day, day, Precision.DAY, 0)
    first = date.fromisocalendar(year, week, 1)
    return Moment(first, first + timedelta(days=6), Precision.WEEK, 0)


def day_of_year(year: int, number: int) -> date:
    """Return a day by its number in the year.

    Raises
    ------
    ValueError
        If the year has no such day.
    """
    day = date(year, 1, 1) + timedelta(days=number - 1)
    if day.year != year:
        message = f"{year} has no day {number}"
        raise ValueError(message)
    return day


def _with_time(moment: Moment, match: re.Match[str]) -> Moment | None:
    if moment.precision is not Precision.DAY:
        return None
    hour, minute, second = (int(match[name] or 0) for name in ("hour", "minute", "second"))
    precision = Precision.HOUR
    if match["minute"]:
        precision = Precision.SECOND if match["second"] else Precision.MINUTE
    seconds = hour * 3600 + minute * 60 + second - _offset_seconds(match["zone"])
    return Moment(moment.first_day, moment.last_day, precision, seconds)


def _offset_seconds(zone: str | None) -> int:
    if zone is None or zone == "Z":
        return 0
    digits = zone[1:].replace(":", "").ljust(4, "0")
    seconds = int(digits[:2]) * 3600 + int(digits[2:]) * 60
    return -seconds if zone[0] == "-" else seconds
