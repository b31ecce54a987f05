"""How the tests read a term: what counts as empty, as a number and as an integer.

Empty is what holds no character above U+0020; nothing is trimmed; words such as "null" are
values like any other (tdwg/bdq at commit bdc09306513c1619307f8eab78d4e34948382688).
"""

import re
from collections.abc import Mapping
from decimal import Decimal

Terms = Mapping[str, str]
Parameters = Mapping[str, str]

SPACE = " "
NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,9})?")
INTEGER = re.compile(r"[+-]?[0-9]{1,1000}")
BLANKS = "".join(map(chr, range(ord(SPACE) + 1)))


def text_of(terms: Terms, term: str) -> str:
    """Return a value word for word; an absent term is an empty one."""
    return terms.get(term) or ""


def is_empty(terms: Terms, term: str) -> bool:
    """Tell whether a term is absent or holds nothing above U+0020."""
    return all(char <= SPACE for char in text_of(terms, term))


def trimmed(terms: Terms, term: str) -> str:
    """Return a value without blanks around it, for amendments only."""
    return text_of(terms, term).strip(BLANKS)


def number(text: str) -> Decimal | None:
    """Return a plain decimal number; NaN, infinity, hexadecimal and other scripts are none."""
    return Decimal(text) if NUMBER.fullmatch(text) else None


def integer(text: str) -> int | None:
    """Return a whole number written with ASCII digits only."""
    return int(text) if INTEGER.fullmatch(text) else None


def plain(value: Decimal) -> str:
    """Return a number without needless zeros or an exponent."""
    return f"{value.normalize():f}"


def has_authority(parameters: Parameters, *bundled: str) -> bool:
    """Tell whether the wanted list is at hand: only bundled ones are, nothing is fetched."""
    wanted = parameters.get("bdqval:sourceAuthority")
    return wanted is None or wanted in bundled
