"""Bytes and lines of data files."""

import re
import unicodedata
from collections.abc import Iterator

from portal.checkarchive.descriptor import FileDescription
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import FileEnd, Line, Row

Problems = Iterator[Problem]
_GUIDE = "Darwin Core text guide 2023-09-13"
_UNICODE = "Unicode: UTF-8"
_PRACTICE = "common practice, no source"
_BOM = b"\xef\xbb\xbf"
_CONTROLS = bytes({*range(0x20), 0x7F} - set(b"\t\n\r"))  # C0 and DEL
_LONG_CONTROL = re.compile(rb"\xc2[\x80-\x9f]|\xe2\x80[\xa8\xa9]")  # C1, line separators; UTF-8
_WORDS_FOR_NOTHING = frozenset({"NULL", "null", "\\N", "NA", "N/A", "None", "nan", "NaN"})


@rule("text-bom", "line", f"{_UNICODE}; {_PRACTICE}")
def byte_order_mark(line: Line) -> Problems:
    """Begin the file without a byte order mark: it becomes part of the first column's name."""
    if line.number == 1 and line.content.startswith(_BOM):
        yield Problem()


@rule("text-not-utf8", "line", f"{_GUIDE}: encoding; {_UNICODE}")
def not_utf8(line: Line) -> Problems:
    """Write valid UTF-8."""
    try:
        line.content.decode("utf-8")
    except UnicodeDecodeError as error:
        yield Problem(value=repr(line.content[max(error.start - 10, 0) : error.end + 10]))


@rule("text-carriage-return", "line", f"{_GUIDE}: linesTerminatedBy")
def carriage_return(line: Line) -> Problems:
    """End lines as declared, and keep carriage returns out of values."""
    if b"\r" in line.content:
        yield Problem(value=_shown(line.content, line.content.index(b"\r")))


@rule("text-control-character", "line", _PRACTICE)
def control_character(line: Line) -> Problems:
    """Remove control characters, and replace line separators by a space."""
    content = line.content
    if len(content.translate(None, _CONTROLS)) < len(content):
        yield Problem(value=content.decode("utf-8", errors="replace"))
    elif not content.isascii() and (found := _LONG_CONTROL.search(content)):
        yield Problem(value=_shown(content, found.start()))


@rule("text-last-line", "file", f"{_GUIDE}: linesTerminatedBy")
def last_line(end: FileEnd, _file: FileDescription) -> Problems:
    """End the last line like the others."""
    if not end.ends_with_line_feed:
        yield Problem(row=end.lines)


@rule("text-empty-file", "file", _PRACTICE)
def empty_file(end: FileEnd, _file: FileDescription) -> Problems:
    """Write the header line even where there are no rows."""
    if not end.lines:
        yield Problem()


@rule("text-no-rows", "file", _PRACTICE, severity="note")
def no_rows(end: FileEnd, file: FileDescription) -> Problems:
    """Know that the core has no rows."""
    if file.is_core and 0 < end.records <= file.header_lines:
        yield Problem()


@rule("value-null-word", "row", _PRACTICE, severity="warning")
def null_word(row: Row) -> Problems:
    """Leave a field empty where nothing is known."""
    if not _WORDS_FOR_NOTHING.isdisjoint(row.values()):
        for name, value in row.items():
            if value in _WORDS_FOR_NOTHING:
                yield Problem(name, value)


@rule("value-untrimmed", "row", _PRACTICE, severity="warning")
def untrimmed(row: Row) -> Problems:
    """Write values without space before or behind."""
    for name, value in row.items():
        if value != value.strip():
            yield Problem(name, value)


@rule(
    "value-not-composed", "row", "Unicode: normalization form C; common practice", severity="note"
)
def not_composed(row: Row) -> Problems:
    """Write letters with accents as one character (NFC), so that equal words compare equal."""
    if row.is_ascii:
        return
    for name, value in row.items():
        if not unicodedata.is_normalized("NFC", value):
            yield Problem(name, value)


def _shown(content: bytes, place: int) -> str:
    return content[max(place - 20, 0) : place + 20].decode("utf-8", errors="replace")
