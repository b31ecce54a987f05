"""The header line, and the number of fields of each line."""

from collections import Counter
from collections.abc import Iterator

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Header, Record

Problems = Iterator[Problem]
_GUIDE = "Darwin Core text guide 2023-09-13"
_PRACTICE = "common practice, no source"


@rule("header-differs", "header", f"{_GUIDE}: ignoreHeaderLines; {_PRACTICE}", severity="warning")
def header_differs(header: Header) -> Problems:
    """Name a column by the local name of its term."""
    for cell, name in _pairs(header):
        if cell != name and cell not in header.file.names:
            yield Problem(name, cell)


@rule("header-swapped", "header", f"{_GUIDE}: field@index")
def header_swapped(header: Header) -> Problems:
    """Correct the index: this column bears the name of another term of the file."""
    for cell, name in _pairs(header):
        if cell != name and cell in header.file.names:
            yield Problem(name, cell)


@rule("index-beyond", "header", f"{_GUIDE}: field@index")
def index_beyond(header: Header) -> Problems:
    """Correct the index: the file has fewer columns."""
    indices = {field.name: field.index for field in header.file.fields}
    indices |= {"id": header.file.id_index} if header.file.id_index is not None else {}
    for name, index in indices.items():
        if index is not None and index >= len(header.cells):
            yield Problem(name, str(index))


@rule("column-unmapped", "header", f"{_GUIDE}: field; {_PRACTICE}", severity="warning")
def unmapped(header: Header) -> Problems:
    """Map the column, or leave it out: what is not mapped is not read."""
    indices = {field.index for field in header.file.fields} | {header.file.id_index}
    last = max((index for index in indices if index is not None), default=-1)
    for cell in header.cells[last + 1 :]:
        yield Problem(value=cell)


@rule("record-width", "record", f"{_GUIDE}: fieldsTerminatedBy")
def width(record: Record) -> Problems:
    """Write as many fields in each line as the header has."""
    if record.fields is not None and record.text and len(record.fields) != record.expected:
        yield Problem(value=f"{len(record.fields)} fields, not {record.expected}")


@rule("record-blank", "record", _PRACTICE)
def blank(record: Record) -> Problems:
    """Remove the blank line."""
    if record.fields is not None and not record.text:
        yield Problem()


@rule("record-quotes", "record", f"{_GUIDE}: fieldsEnclosedBy")
def quotes(record: Record) -> Problems:
    """Close each quote and double those inside, or write values that need none."""
    if record.fields is None:
        yield Problem(value=record.text)


def _pairs(header: Header) -> Iterator[tuple[str, str]]:
    """Yield the header and the term of each column that is named and mapped once."""
    mapped = Counter(field.index for field in header.file.fields)
    if header.file.header_lines:
        for field in header.file.fields:
            is_there = field.index is not None and field.index < len(header.cells)
            if field.index is not None and is_there and mapped[field.index] == 1:
                yield header.cells[field.index], field.name
