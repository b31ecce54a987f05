"""The formats of open answers, and how rows become CSV and NDJSON."""

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

from portal.archive.cells import csv_cell

JSON = "application/json"
GEOJSON = "application/geo+json"
CSV = "text/csv; charset=utf-8; header=present"
NDJSON = "application/x-ndjson"
PARQUET = "application/vnd.apache.parquet"
# What answers of figures have, and what collections have; the first is the default.
TABLES = {JSON: "json", "text/csv": "csv"}
COLLECTIONS = {
    JSON: "json",
    GEOJSON: "geojson",
    "text/csv": "csv",
    NDJSON: "ndjson",
    PARQUET: "parquet",
}
CONTENT_TYPES = {"geojson": GEOJSON, "csv": CSV, "ndjson": NDJSON, "parquet": PARQUET}
ROWS_AT_ONCE = 1000
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")

Row = Mapping[str, Any]


def in_parts(rows: Iterable[Row], size: int = ROWS_AT_ONCE) -> Iterator[list[Row]]:
    """Yield rows in lists of at most a size."""
    left = iter(rows)
    while part := list(islice(left, size)):
        yield part


def csv_parts(
    rows: Iterable[Row], names: Sequence[str], *, for_spreadsheets: bool
) -> Iterator[bytes]:
    """Yield rows as CSV (RFC 4180), the head first; lists are joined by ``|``, null is empty.

    For spreadsheet users a byte order mark is added and cells that look like formulas get a
    leading apostrophe.
    """
    yield _csv_lines([names]).encode("utf-8-sig" if for_spreadsheets else "utf-8")
    for part in in_parts(rows):
        lines = [[csv_cell(row[name]) for name in names] for row in part]
        if for_spreadsheets:
            lines = [[_tamed(cell) for cell in line] for line in lines]
        yield _csv_lines(lines).encode()


def ndjson_parts(rows: Iterable[Row]) -> Iterator[bytes]:
    """Yield rows as JSON, one a line."""
    for part in in_parts(rows):
        lines = (json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in part)
        yield "".join(f"{line}\n" for line in lines).encode()


def as_csv(rows: Iterable[Row], names: Sequence[str], *, for_spreadsheets: bool) -> bytes:
    """Return rows as CSV."""
    return b"".join(csv_parts(rows, names, for_spreadsheets=for_spreadsheets))


def _csv_lines(lines: Iterable[Sequence[str]]) -> str:
    target = io.StringIO(newline="")
    csv.writer(target).writerows(lines)
    return target.getvalue()


def _tamed(cell: str) -> str:
    is_number = cell.lstrip("-").replace(".", "", 1).isdigit()
    return f"'{cell}" if cell.startswith(_FORMULA_STARTS) and not is_number else cell
