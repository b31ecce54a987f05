"""Which format an answer takes, and how rows become CSV."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rest_framework.request import Request

from api.errors import Problem
from api.parameters import refuse
from portal.archive.cells import csv_cell

JSON = "application/json"
CSV = "text/csv; charset=utf-8; header=present"
_BY_NAME = {"json": JSON, "csv": CSV}
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def chosen_format(request: Request) -> str:
    """Return ``json`` or ``csv``: by ``f``, else by ``Accept``.

    Raises
    ------
    Problem
        If neither names a format that we have.
    """
    name = request.query_params.get("f")
    if name is not None:
        if name not in _BY_NAME:
            refuse("f", name, "one of " + ", ".join(_BY_NAME))
        return name
    for media_type in _accepted(request.headers.get("Accept", "*/*")):
        if media_type in {"*/*", "application/*", JSON, ""}:
            return "json"
        if media_type in {"text/csv", "text/*"}:
            return "csv"
    code = "format-not-available"
    raise Problem(code, "Ask for application/json or text/csv.", available=list(_BY_NAME))


def _accepted(header: str) -> list[str]:
    """Return the media types of an Accept header, the most wanted first."""
    parts = [part.partition(";") for part in header.lower().split(",")]
    ranked = [(_quality(parameters), media_type.strip()) for media_type, _, parameters in parts]
    ranked.sort(key=lambda part: -part[0])
    return [media_type for quality, media_type in ranked if quality > 0]


def _quality(parameters: str) -> float:
    """Return the weight of a media type (RFC 9110, 12.4.2); 1 unless another one is readable."""
    found = re.search(r"(?:^|;)\s*q=(0(?:\.\d{0,3})?)\s*(?:;|$)", parameters)
    return float(found[1]) if found else 1.0


def as_csv(
    rows: Iterable[Mapping[str, Any]], names: Sequence[str], *, for_spreadsheets: bool
) -> bytes:
    """Return rows as CSV (RFC 4180); lists are joined by ``|``, null is empty.

    For spreadsheet users a byte order mark is added and cells that look like formulas get a
    leading apostrophe.
    """
    target = io.StringIO(newline="")
    writer = csv.writer(target)
    writer.writerow(names)
    for row in rows:
        cells = [csv_cell(row[name]) for name in names]
        writer.writerow([_tamed(cell) for cell in cells] if for_spreadsheets else cells)
    text = target.getvalue()
    return text.encode("utf-8-sig" if for_spreadsheets else "utf-8")


def _tamed(cell: str) -> str:
    is_number = cell.lstrip("-").replace(".", "", 1).isdigit()
    return f"'{cell}" if cell.startswith(_FORMULA_STARTS) and not is_number else cell
