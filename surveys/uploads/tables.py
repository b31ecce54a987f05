"""The visits of a job's table, whatever kind of file it is."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from surveys.uploads.cells import Cell, Reading
from surveys.uploads.columns import Column, Layout, read_header
from surveys.uploads.encodings import FoundEncoding, check_encoding, find_encoding
from surveys.uploads.faults import FileNotReadable, RowFault
from surveys.uploads.gathering import Gathered, visits_of_lines, visits_of_table
from surveys.uploads.models import FileKind
from surveys.uploads.texts import csv_rows, find_separator, ndjson_lines
from surveys.uploads.workbooks import sheet_rows

Rows = Iterator[tuple[int, list[Cell]]]


@dataclass
class Table:
    """A table as it will be read; its columns are known from its header."""

    path: Path
    kind: FileKind
    reading: Reading
    encoding: FoundEncoding
    layout: Layout = Layout.WIDE
    columns: list[Column] = field(default_factory=list)
    header_row: int = 1

    def rows(self) -> Rows:
        """Yield the rows below the header with their numbers."""
        return (row for row in self._all_rows() if row[0] > self.header_row)

    def visits(self) -> Iterator[Gathered]:
        """Yield the visits."""
        if self.kind == FileKind.NDJSON:
            return visits_of_lines(ndjson_lines(self.path, self.reading.encoding))
        return visits_of_table(self.rows(), self.layout, self.columns, self.reading)

    def _all_rows(self) -> Rows:
        if self.kind == FileKind.XLSX:
            yield from sheet_rows(self.path)
        else:
            for row, cells in csv_rows(self.path, self.reading):
                yield row, [*cells]

    def take_header(self) -> None:
        """Find the columns; raises ``HeaderNotKnown`` if they are not those of a template.

        Raises
        ------
        FileNotReadable
            If there is no row at all.
        """
        first = next(self._all_rows(), None)
        if first is None:
            fault = RowFault(row=1, column="", code="file-empty", message="The file is empty.")
            raise FileNotReadable(fault)
        self.header_row, names = first
        self.layout, self.columns = read_header([str(name or "") for name in names])


def open_table(path: Path, kind: FileKind, answers: dict[str, str]) -> Table:
    """Return a table, read as the sender said, and where they said nothing, as the file shows.

    Raises ``FileNotReadable`` or ``HeaderNotKnown`` if nothing can be read.
    """
    if kind == FileKind.XLSX:
        encoding = FoundEncoding("utf-8", "XLSX has no other")
    elif "encoding" in answers:
        encoding = check_encoding(path, answers["encoding"])
    else:
        encoding = find_encoding(path)
    separator = answers.get("separator", "comma")
    if kind == FileKind.CSV and "separator" not in answers:
        separator = find_separator(path, encoding.name)
    reading = Reading(
        encoding.name,
        separator,
        answers.get("decimal", "point"),
        answers.get("dates", "iso"),
    )
    table = Table(path, kind, reading, encoding)
    if kind != FileKind.NDJSON:
        table.take_header()
    return table
