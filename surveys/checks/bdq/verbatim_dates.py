"""Read a date as people write it, if it can be read in one way only.

Two-digit years, and numbers that could be day or month, are never guessed. A year alone must
be one of the Gregorian calendar (1582 on). Dates are taken as Gregorian.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from surveys.checks.bdq.month_names import MONTHS, month_number
from surveys.checks.bdq.periods import Precision, read_period

GREGORIAN_YEAR = 1582
LONGEST_TEXT = 100  # no date is longer; keeps odd texts from taking long
WEEKDAYS = re.compile(
    r"\b(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\b[.,]?"
    r"|\b(?:lundi|mardi|mercredi|jeudi|vendredi|samedi|dimanche"
    r"|montag|dienstag|mittwoch|donnerstag|freitag|samstag|sonntag"
    r"|lunes|martes|miércoles|jueves|viernes|sábado|domingo)\b[.,]?"
)
FILLERS = frozenset({"of", "the", "de", "del", "den", "der", "le", "el", "di", "on"})
EAST_ASIAN = re.compile(r"(\d{4})\s*[年년]\s*(?:(\d{1,2})\s*[月월]\s*(?:(\d{1,2})\s*[日일])?)?")
DECADE = re.compile(r"(\d{3})0'?s")
COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th|er|º|ª)?")
YEAR = re.compile(r"\d{4}")
BETWEEN = re.compile(r"\s*(?:-|–|/|&|\bto\b|\buntil\b|\bbis\b|\bau\b|\bal\b)\s*")  # noqa: RUF001 -- the dash is meant


@dataclass(frozen=True)
class Parts:
    """What one side of a date says."""

    year: int | None = None
    month: int | None = None
    day: int | None = None

    def iso(self) -> str | None:
        """Return the date as fine as it is known; nothing if it is not in the calendar."""
        if self.year is None or (self.day is not None and self.month is None):
            return None
        try:
            whole = date(self.year, self.month or 1, self.day or 1).isoformat()
        except ValueError:
            return None
        length = 4 if self.month is None else 7 if self.day is None else 10
        return whole[:length]


def read_date(text: str) -> str | None:
    """Return a date or interval of ISO 8601 for a text with one reading."""
    if len(text) > LONGEST_TEXT:
        return None
    period = read_period(text.strip())
    if period and (period.is_interval or period.precision > Precision.YEAR):
        return text.strip()
    plain = unicodedata.normalize("NFKC", text).casefold()
    plain = " ".join(WEEKDAYS.sub(" ", plain).split()).strip(" .,;")
    return _fixed_form(plain) or _single(plain) or _interval(plain)


def _fixed_form(plain: str) -> str | None:
    if decade := DECADE.fullmatch(plain):
        return f"{decade[1]}0-01-01/{decade[1]}9-12-31"
    match = EAST_ASIAN.fullmatch(plain) or COMPACT.fullmatch(plain)
    if match is None:
        return None
    year, month, day = (int(part) if part else None for part in match.groups())
    return Parts(year, month, day).iso() if (year or 0) >= GREGORIAN_YEAR else None


def _single(plain: str) -> str | None:
    parts = _parts(plain)
    if parts is None:
        return None
    if parts.month is None and (parts.year or 0) < GREGORIAN_YEAR:
        return None
    return parts.iso()


def _interval(plain: str) -> str | None:
    """Read two dates; what the first leaves out it shares with the second, and the reverse."""
    readings = {reading for match in BETWEEN.finditer(plain) if (reading := _split(plain, match))}
    return readings.pop() if len(readings) == 1 else None


def _split(plain: str, match: re.Match[str]) -> str | None:
    first, second = _parts(plain[: match.start()]), _parts(plain[match.end() :])
    if first is None or second is None:
        return None
    if (
        first.month
        and first.day
        and second.day is None
        and not has_month_word(plain[match.end() :])
    ):
        second = Parts(second.year, None, second.month)  # Oct 1-3, 1987: the 3 is a day
    first = replace(first, year=first.year or second.year, month=first.month or second.month)
    second = replace(second, month=second.month or first.month)
    start, end = first.iso(), second.iso()
    if start is None or end is None or len(start) != len(end) or start >= end:
        return None
    return f"{start}/{end}"


def has_month_word(plain: str) -> bool:
    """Tell whether a text names a month."""
    return any(month_number(token) for token in re.split(r"[\s.,/_-]+", plain))


def _parts(plain: str) -> Parts | None:
    """Read one side: numbers and at most one month in words."""
    tokens = [token for token in re.split(r"[\s.,/_-]+", plain) if token not in {"", *FILLERS}]
    words = [token for token in tokens if month_number(token)]
    if len(words) > 1:
        return None
    if words:
        return _with_month(month_number(words[0]), [t for t in tokens if t != words[0]])
    return _numeric(tokens)


def _with_month(month: int | None, others: list[str]) -> Parts | None:
    years = [int(token) for token in others if YEAR.fullmatch(token)]
    days = [int(match[1]) for token in others if (match := ORDINAL.fullmatch(token))]
    if len(years) + len(days) != len(others) or len(years) > 1 or len(days) > 1:
        return None
    return Parts(years[0] if years else None, month, days[0] if days else None)


def _numeric(tokens: list[str]) -> Parts | None:
    if not tokens or not all(YEAR.fullmatch(t) or ORDINAL.fullmatch(t) for t in tokens):
        return None
    years = [token for token in tokens if YEAR.fullmatch(token)]
    others = [int(match[1]) for token in tokens if (match := ORDINAL.fullmatch(token))]
    if len(years) > 1 or (years and tokens.index(years[0]) == 1 and len(tokens) > 2):  # noqa: PLR2004 -- a year in the middle
        return None
    if not years:
        return Parts(day=others[0]) if len(others) == 1 else None
    readings = set(_orders(int(years[0]), others, year_first=YEAR.fullmatch(tokens[0]) is not None))
    return readings.pop() if len(readings) == 1 else None


def _orders(year: int, others: list[int], *, year_first: bool) -> Iterator[Parts]:
    """Yield the possible readings of the numbers beside a year."""
    match others:
        case []:
            yield Parts(year)
        case [number]:
            yield Parts(year, number) if number in MONTHS else Parts(year, day=number)
        case [first, second] if year_first and first in MONTHS:
            yield Parts(year, first, second)  # a year in front is followed by the month
        case [first, second]:
            candidates = (Parts(year, second, first), Parts(year, first, second))
            yield from (parts for parts in candidates if parts.month in MONTHS and parts.iso())
