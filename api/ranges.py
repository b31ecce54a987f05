"""Which bytes a request asks for (RFC 9110, sections 13.1.5 and 14).

A header that is not a valid range of bytes is ignored, as the RFC allows; so is a set of several
ranges, for whole files are what most want and a multipart answer serves nobody here.
"""

import re
from dataclasses import dataclass

_UNIT = "bytes"
_RANGE = re.compile(r"(?P<first>[0-9]+)-(?P<last>[0-9]*)|-(?P<suffix>[0-9]+)")
_HUGE_DIGITS = 18  # more than any file has bytes


@dataclass(frozen=True)
class ByteRange:
    """The bytes from the first to the last, both included."""

    first: int
    last: int

    @property
    def size_bytes(self) -> int:
        """Return how many bytes these are."""
        return self.last - self.first + 1

    def content_range(self, size_bytes: int) -> str:
        """Return the value of ``Content-Range`` for a file of this size."""
        return f"{_UNIT} {self.first}-{self.last}/{size_bytes}"


class NotSatisfiable(Exception):  # noqa: N818 -- reads as what happened
    """None of the bytes asked for exist (416)."""


def requested_range(header: str | None, size_bytes: int) -> ByteRange | None:
    """Return the one range that a ``Range`` header asks for, or nothing for the whole file.

    Raises
    ------
    NotSatisfiable
        If the header is a valid range of bytes and the file has none of them.
    """
    asked = _read(header or "")
    if not asked:
        return None
    found = [one for one in (_within(*bounds, size_bytes) for bounds in asked) if one is not None]
    if not found:
        msg = f"The file has {size_bytes} bytes."
        raise NotSatisfiable(msg)
    only = found[0]
    return only if len(asked) == 1 and only.size_bytes > 0 else None


def range_applies(if_range: str | None, *, etag: str, last_modified: str) -> bool:
    """Tell whether ``If-Range`` lets a range through: by a strong tag, or the very same date."""
    return if_range is None or if_range.strip() in {etag, last_modified}


def _read(header: str) -> list[tuple[int | None, int | None]]:
    """Return first and last of each range, ``(None, n)`` for the last n; empty if not valid."""
    unit, _, ranges = header.partition("=")
    if unit.strip().lower() != _UNIT:
        return []
    texts = [text.strip(" \t") for text in ranges.split(",")]
    matches = [_RANGE.fullmatch(text) for text in texts if text]  # a list may have empty elements
    asked = []
    for match in matches:
        if match is None:
            return []
        first, last = _number(match["first"]), _number(match["last"] or match["suffix"])
        if first is not None and last is not None and last < first:
            return []
        asked.append((first, last))
    return asked


def _number(digits: str | None) -> int | None:
    if not digits:
        return None
    significant = digits.lstrip("0")
    return int(significant or "0") if len(significant) <= _HUGE_DIGITS else 10**_HUGE_DIGITS


def _within(first: int | None, last: int | None, size_bytes: int) -> ByteRange | None:
    end = size_bytes - 1
    if first is None:
        return ByteRange(max(0, size_bytes - last), end) if last else None
    if first > end:
        return None
    return ByteRange(first, end if last is None else min(last, end))
