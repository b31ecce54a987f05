"""Rows of a CSV file and lines of NDJSON, a piece at a time whatever the size of the file."""

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from surveys.uploads.cells import SEPARATORS, Reading
from surveys.uploads.columns import known_share
from surveys.uploads.encodings import codec_of
from surveys.uploads.faults import FileNotReadable, RowFault

MAX_LINE = 1_000_000  # characters
MAX_COLUMNS = 400


def csv_rows(path: Path, reading: Reading) -> Iterator[tuple[int, list[str]]]:
    """Yield every row that is not empty with its number; the header is row 1.

    Raises
    ------
    FileNotReadable
        If a row is too long, most often for a quotation mark that is never closed.
    """
    row = 0
    with path.open(encoding=codec_of(reading.encoding), newline="") as file:
        reader = csv.reader(_lines(file), delimiter=SEPARATORS[reading.separator], strict=True)
        try:
            for row, cells in enumerate(reader, start=1):
                if len(cells) > MAX_COLUMNS:
                    raise FileNotReadable(_too_long(row, f"at most {MAX_COLUMNS} columns"))
                if any(cell.strip() for cell in cells):
                    yield row, cells
        except csv.Error as error:
            message = f"Row {row + 1} cannot be read: {error}. Is a quotation mark not closed?"
            fault = RowFault(row=row + 1, column="", code="row-not-read", message=message)
            raise FileNotReadable(fault) from error


def ndjson_lines(path: Path, encoding: str) -> Iterator[tuple[int, str]]:
    """Yield every line that is not blank with its number, the first being 1.

    Raises
    ------
    FileNotReadable
        If a line is too long.
    """
    with path.open(encoding=codec_of(encoding), newline="\n") as file:
        for row, line in enumerate(_lines(file), start=1):
            if line.strip():
                yield row, line


def find_separator(path: Path, encoding: str) -> str:
    """Return the separator that makes known columns of the first line.

    Raises
    ------
    FileNotReadable
        If none does.
    """
    with path.open(encoding=codec_of(encoding), newline="") as file:
        header = next(_lines(file), "")
    shares = {
        name: known_share([part.strip().strip('"') for part in header.split(mark)])
        for name, mark in SEPARATORS.items()
    }
    best = max(shares, key=lambda name: shares[name])
    if not shares[best]:
        raise FileNotReadable(
            RowFault(
                row=1,
                column="",
                code="header-not-known",
                message="The first row holds no column that we know.",
                received=header.strip(),
                allowed="the columns of a template, separated by comma, semicolon or tab",
            )
        )
    return best


def _lines(file: TextIO) -> Iterator[str]:
    """Yield lines, and never read more of a line than is allowed.

    Raises
    ------
    FileNotReadable
        If a line is longer.
    """
    number = 0
    while line := file.readline(MAX_LINE):
        number += 1
        if len(line) >= MAX_LINE:
            raise FileNotReadable(_too_long(number, f"at most {MAX_LINE} characters in a line"))
        yield line


def _too_long(row: int, allowed: str) -> RowFault:
    return RowFault(
        row=row, column="", code="row-too-long", message="The row is too long.", allowed=allowed
    )
