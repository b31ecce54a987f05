"""How a value is written in a data file, so that no quoting is ever needed."""

import re
import unicodedata
from datetime import UTC, datetime
from decimal import Decimal
from functools import lru_cache

# Tab, LF, VT, FF, CR, NEL and the two separators of Unicode end a field or a line somewhere.
_BREAKS = re.compile("[\t\n\v\f\r\x85\u2028\u2029]")
_UNWRITABLE = frozenset({"Cc", "Cs"})  # other control characters; halves of a character
LIST_SEPARATOR = " | "


def clean_text(text: str) -> str:
    """Return a text on one line: breaks become spaces, controls go, trimmed, composed (NFC)."""
    if text.isascii() and text.isprintable():  # most are, and a release has millions of them
        return text.strip()
    return _cleaned(text)


@lru_cache(maxsize=4096)  # few texts of a release need it, and they come again
def _cleaned(text: str) -> str:
    one_line = _BREAKS.sub(" ", text)
    kept = "".join(char for char in one_line if unicodedata.category(char) not in _UNWRITABLE)
    return unicodedata.normalize("NFC", kept).strip()


def written(value: object) -> str:
    """Return a value as a field of a data file; nothing is the empty text."""
    return clean_text(value) if isinstance(value, str) else _as_text(value)


def _as_text(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case float() | Decimal():
            return plain_number(value)
        case datetime():
            return instant(value)
    return clean_text(str(value))


@lru_cache(maxsize=4096)  # areas and coordinates come again in row after row
def plain_number(value: float | Decimal) -> str:
    """Return a number with a decimal point, without exponent or idle zeros."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    return f"{exact.normalize() + 0:f}"


def instant(at: datetime) -> str:
    """Return an instant in UTC to the second."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def date_parts(day_or_month: str) -> tuple[int, int | None, int | None]:
    """Return year, month and day of ``YYYY-MM-DD``; what a coarser date lacks is None."""
    year, month, day = (*(int(part) for part in day_or_month.split("-")), None, None)[:3]
    return (year or 0), month, day


def listed(values: list[str] | tuple[str, ...]) -> str:
    """Return several values as one field, each once, in the order given."""
    return LIST_SEPARATOR.join(dict.fromkeys(values))
