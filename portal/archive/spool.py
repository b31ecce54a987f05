"""Rows of a data file that wait on disk until its archive takes them."""

import csv
from collections.abc import Callable, Iterable, Sequence
from tempfile import TemporaryFile
from typing import IO, Any

from portal.archive.values import written

LineFormat = Callable[[Iterable[str]], str]


class UnknownColumnError(ValueError):
    """A row has a value for a column that its file does not have."""


class RowSpool:
    """The lines of one data file, on disk, headed by its columns."""

    def __init__(self, name: str, headers: Sequence[str], line: LineFormat) -> None:
        self.name = name
        self.headers = headers
        self.rows = 0
        self.lines: IO[bytes] = TemporaryFile()  # noqa: SIM115 -- closed by the caller's stack
        self._line = line
        self._write(headers)

    def add_all(self, rows: Iterable[dict[str, Any]]) -> None:
        """Append rows; columns without a value stay empty.

        Raises
        ------
        UnknownColumnError
            If a row has a column more than the file.
        """
        for row in rows:
            self._add(row)

    def _add(self, row: dict[str, Any]) -> None:
        if unknown := row.keys() - self.headers:
            message = f"{self.name} has no column {', '.join(sorted(unknown))}."
            raise UnknownColumnError(message)
        self._write("" if cell is None else written(cell) for cell in map(row.get, self.headers))
        self.rows += 1

    def _write(self, values: Iterable[str]) -> None:
        self.lines.write(self._line(values).encode())


def tabbed(values: Iterable[str]) -> str:
    """Return a line of a Darwin Core text file."""
    return "\t".join(values) + "\n"


class _Echo:
    def write(self, line: str) -> str:
        return line


_CSV = csv.writer(_Echo())


def comma_separated(values: Iterable[str]) -> str:
    """Return a line of CSV (RFC 4180)."""
    line: str = _CSV.writerow(values)
    return line
