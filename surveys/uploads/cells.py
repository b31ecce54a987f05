"""Turn a cell into the JSON value that it stands for, by a way of reading that is known.

What cannot be read stays the text that it is: the payload's shape refuses it and says why, as
for JSON.
"""

import re
from dataclasses import asdict, dataclass
from datetime import date, datetime, time
from typing import Any, Literal

from surveys.uploads.columns import Column, Kind

Cell = str | int | float | bool | date | datetime | time | None
Decimal = Literal["point", "comma"]
Dates = Literal["iso", "day-month-year", "month-day-year"]
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
ENCODINGS = ("utf-8", "utf-16", "windows-1252")
DECIMALS = ("point", "comma")
DATES = ("iso", "day-month-year", "month-day-year")
LISTED_BY = "|"
NO_WORDS = "none"  # an empty list of words, against an empty cell: not entered

_YES_NO = {"yes": True, "no": False, "true": True, "false": False}
_WHOLE = re.compile(r"[+-]?[0-9]{1,18}")
_DAY = re.compile(r"([0-9]{1,2})([./-])([0-9]{1,2})\2([0-9]{4})")
_NUMBERS = {
    mark: re.compile(
        rf"[+-]?(?:[0-9]{{1,3}}(?:{group}[0-9]{{3}})+|[0-9]{{1,15}})(?:{point}[0-9]+)?"
    )
    for mark, point, group in (("point", r"\.", ","), ("comma", ",", r"\."))
}
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Reading:
    """How a file is read."""

    encoding: str = "utf-8"
    separator: str = "comma"
    decimal: str = "point"
    dates: str = "iso"

    def as_dict(self) -> dict[str, str]:
        """Return it for an answer."""
        return asdict(self)


def value_of(cell: Cell, column: Column, reading: Reading) -> Any:
    """Return the JSON value of a cell, or None if the cell is empty."""
    if cell is None or isinstance(cell, str):
        text = shown_plain(cell or "").strip()
        return _from_text(text, column, reading) if text else None
    return _from_typed(cell, column)


def text_of(cell: Cell) -> str:
    """Return a cell as a person would type it."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, datetime):
        return _day_or_instant(cell)
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return "" if cell is None else str(cell)


def safe_for_spreadsheets(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula; numbers stay as they are."""
    is_number = any(form.fullmatch(text) for form in _NUMBERS.values())
    return f"'{text}" if text.startswith(_FORMULA) and not is_number else text


def shown_plain(text: str) -> str:
    """Undo :func:`safe_for_spreadsheets`, so that a sheet sent back reads as it did before."""
    return text[1:] if text[:1] == "'" and text[1:2] in _FORMULA else text


def number_of(text: str, decimal: str) -> int | float | None:
    """Return a number written with this decimal mark, or nothing."""
    if _WHOLE.fullmatch(text):
        return int(text)
    if not _NUMBERS[decimal].fullmatch(text):
        return None
    plain = text.replace(",", "") if decimal == "point" else text.replace(".", "").replace(",", ".")
    return float(plain) if "." in plain else int(plain)


def day_parts(text: str) -> tuple[int, int, int] | None:
    """Return the three numbers of a day that is not written as ISO 8601 has it."""
    match = _DAY.fullmatch(text)
    return (int(match[1]), int(match[3]), int(match[4])) if match else None


def _from_text(text: str, column: Column, reading: Reading) -> Any:
    if column.kind in {Kind.NUMBER, Kind.WHOLE}:
        number = number_of(text, reading.decimal)
        return text if number is None else number
    if column.kind == Kind.YES_NO:
        return _YES_NO.get(text.lower(), text)
    if column.kind == Kind.DAY:
        return _day(text, reading)
    if column.kind == Kind.WORDS:
        return _words(text, column)
    return text


def _words(text: str, column: Column) -> Any:
    if text == NO_WORDS:
        return []
    if text in column.instead:
        return text
    return [word.strip() for word in text.split(LISTED_BY) if word.strip()]


def _day(text: str, reading: Reading) -> str:
    parts = day_parts(text)
    if parts is None or reading.dates == "iso":
        return text
    first, second, year = parts
    day, month = (first, second) if reading.dates == "day-month-year" else (second, first)
    return f"{year:04}-{month:02}-{day:02}"


def _from_typed(cell: Any, column: Column) -> Any:
    """Return the value of a spreadsheet's cell that has a type of its own."""
    is_number = isinstance(cell, int | float) and not isinstance(cell, bool)
    if is_number and column.kind in {Kind.NUMBER, Kind.WHOLE}:
        return int(cell) if float(cell).is_integer() else cell
    if isinstance(cell, bool) and column.kind == Kind.YES_NO:
        return cell
    text = text_of(cell)
    return _words(text, column) if column.kind == Kind.WORDS else text


def _day_or_instant(cell: datetime) -> str:
    at_midnight = cell.time() == time()
    return cell.date().isoformat() if at_midnight else cell.isoformat()
