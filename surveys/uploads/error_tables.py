"""The faults of a file as a table, and the file itself with a column that says what to mend."""

import csv
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from surveys.intake.fault_texts import FAULT_TEXTS
from surveys.intake.wording import translated
from surveys.uploads.cells import (
    SEPARATORS,
    Cell,
    Reading,
    safe_for_spreadsheets,
    text_of,
)
from surveys.uploads.columns import ERRORS_COLUMN
from surveys.uploads.models import FileKind, UploadFault, UploadJob
from surveys.uploads.packages import kind_of
from surveys.uploads.queries import faults_of
from surveys.uploads.store import private_file, table_file
from surveys.uploads.texts import csv_rows
from surveys.uploads.workbooks import SHEET, sheet_rows, write_book

HEADER = ("row", "column", "record", "severity", "code", "message", "received", "allowed", "hint")
Rows = Iterator[tuple[int, list[Cell]]]


class NoSheet(Exception):  # noqa: N818 -- reads as what happened
    """The file was no sheet, so no column can be added to it."""


def fault_row(fault: UploadFault) -> dict[str, Any]:
    """Return a fault as an object, with a hint on how to mend it."""
    text = FAULT_TEXTS.get(fault.code)
    row = {name: getattr(fault, name) for name in HEADER if name != "hint"}
    (told,) = translated([row | {"hint": text.fix if text else ""}])
    return told


def faults_csv(faults: Iterable[UploadFault]) -> Iterator[str]:
    """Yield a CSV of faults, line by line; opens with UTF-8's mark so that spreadsheets know."""
    writer = csv.writer(_Echo())
    yield "\N{ZERO WIDTH NO-BREAK SPACE}" + writer.writerow(HEADER)
    for fault in faults:
        cells = ["" if value is None else value for value in fault_row(fault).values()]
        yield writer.writerow([safe_for_spreadsheets(str(cell)) for cell in cells])


def annotated(job: UploadJob, to: Path) -> str:
    """Write the sheet that was sent with one more column; returns ``csv`` or ``xlsx``.

    Separator, marks and order of dates stay as they were, so that it can be mended in place and
    sent again; text is written as UTF-8. Of a workbook only values are kept.

    Raises
    ------
    NoSheet
        If lines of JSON were sent, or the file could not be read.
    """
    table = table_file(job)
    if not job.reading or kind_of(table) == FileKind.NDJSON:
        msg = "Only a CSV or XLSX file that could be read has a sheet to add a column to."
        raise NoSheet(msg)
    reading = Reading(**{name: job.reading[name] for name in Reading().as_dict()})
    if kind_of(table) == FileKind.XLSX:
        rows = _with_errors(sheet_rows(table), job)
        write_book(to, {SHEET: rows})
        return "xlsx"
    typed: Rows = ((row, [*cells]) for row, cells in csv_rows(table, reading))
    with private_file(to) as file:
        writer = csv.writer(_Echo(), delimiter=SEPARATORS[reading.separator])
        file.write(b"\xef\xbb\xbf")
        for cells in _with_errors(typed, job):
            safe = [safe_for_spreadsheets(text_of(cell)) for cell in cells]
            file.write(writer.writerow(safe).encode())
    return "csv"


def _with_errors(rows: Rows, job: UploadJob) -> Iterator[list[Cell]]:
    """Yield rows with their faults in the last column; rows and faults both come in order."""
    _, header = next(rows)
    old = header.index(ERRORS_COLUMN) if ERRORS_COLUMN in header else None
    yield [*_without(header, old), ERRORS_COLUMN]
    texts = _texts(job)
    told_row, text = next(texts, (0, ""))
    for row, cells in rows:
        while told_row and told_row < row:
            told_row, text = next(texts, (0, ""))
        padded = [*cells, *[None] * (len(header) - len(cells))]
        yield [*_without(padded, old), text if told_row == row else ""]


def _texts(job: UploadJob) -> Iterator[tuple[int, str]]:
    """Yield each row that has faults, with what to write beside it."""
    faults = faults_of(job).exclude(row=None).order_by("row", "id").iterator()
    for row, found in groupby(faults, key=lambda fault: fault.row or 0):
        yield row, "; ".join(_told(fault) for fault in found)


def _without(cells: list[Cell], at: int | None) -> list[Cell]:
    return [cell for place, cell in enumerate(cells) if place != at]


def _told(fault: UploadFault) -> str:
    hint = fault_row(fault)["hint"]
    return " ".join(part for part in (f"{fault.column}:", fault.message, hint) if part)


class _Echo:
    """Let the writer of CSV give back each line."""

    def write(self, line: str) -> str:
        """Return the line."""
        return line
