"""Templates and sample files of a protocol version, from the shape that also checks them."""

import csv
import io
import json
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from surveys.people.models import Group
from surveys.protocol.definition import Protocol
from surveys.uploads.cells import Cell, safe_for_spreadsheets, text_of
from surveys.uploads.columns import Column, Layout, Level
from surveys.uploads.samples import sample_visits
from surveys.uploads.spreading import columns_for, rows_of
from surveys.uploads.workbooks import SHEET, write_book

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MEDIA_TYPES = {"csv": "text/csv; charset=utf-8", "xlsx": XLSX, "ndjson": "application/x-ndjson"}
GUIDE_HEADER: list[Cell] = ["column", "holds", "needed", "allowed", "meaning"]


@dataclass(frozen=True)
class FileForm:
    """One file that is offered: a template or a sample, in a layout and a format."""

    name: str
    layout: Layout | None
    format: str
    is_sample: bool


FORMS = {
    form.name: form
    for form in (
        *(
            FileForm(f"{start}{layout.value}.{ending}", layout, ending, bool(start))
            for start in ("", "sample-")
            for layout in Layout
            for ending in ("csv", "xlsx")
        ),
        FileForm("sample.ndjson", None, "ndjson", is_sample=True),
    )
}


def made_file(form: FileForm, protocol: Protocol, group: Group) -> bytes:
    """Return the bytes of a template or sample; those for CSV open with UTF-8's mark."""
    visits = sample_visits(protocol, group) if form.is_sample else []
    if form.layout is None:
        return b"".join(json.dumps(visit).encode() + b"\n" for visit in visits)
    columns = columns_for(protocol, form.layout)
    rows: list[list[Cell]] = [[column.name for column in columns]]
    for visit in visits:
        rows += rows_of(visit, columns, form.layout)
    if form.format == "csv":
        return _csv(rows)
    return _xlsx(rows, [GUIDE_HEADER, *_guide(columns, protocol)])


def _csv(rows: list[list[Cell]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerows([safe_for_spreadsheets(text_of(cell)) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def _xlsx(rows: list[list[Cell]], guide: list[list[Cell]]) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.xlsx"
        write_book(path, {SHEET: rows, "columns": guide})
        return path.read_bytes()


def _guide(columns: list[Column], protocol: Protocol) -> Iterator[list[Cell]]:
    """Yield what each column means and may hold, for the second sheet."""
    for column in columns:
        needed = column.is_required or (
            column.level == Level.PIT and column.field in protocol.required_on_pit
        )
        allowed = protocol.name if column.name == "protocol" else " | ".join(column.allowed)
        yield [
            column.name,
            column.kind.value,
            "yes" if needed else "",
            allowed,
            column.meaning,
        ]
