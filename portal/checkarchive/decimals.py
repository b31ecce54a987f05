"""Numbers as files write them: with a decimal point, without marks between thousands."""

import re

EASTMOST_DEG, NORTHMOST_DEG = 180, 90

_NUMBER = re.compile(r"[+-]?\d{1,30}(\.\d{1,30})?([eE][+-]?\d{1,2})?", re.ASCII)


def decimal(text: str) -> float | None:
    """Return a number, or nothing if the text is none."""
    return float(text) if _NUMBER.fullmatch(text) else None


def decimal_places(text: str) -> int:
    """Return the number of digits behind the point."""
    return len(text.partition(".")[2])


def point(longitude: str, latitude: str) -> tuple[float, float] | None:
    """Return a place in degrees; nothing if it is beyond the globe, or 0, 0 for an unknown one."""
    x, y = decimal(longitude), decimal(latitude)
    if x is None or y is None or abs(x) > EASTMOST_DEG or abs(y) > NORTHMOST_DEG:
        return None
    return None if x == y == 0 else (x, y)
