"""Rows as a tool hands them over, brought to the form that JSON has them in."""

import math
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

Row = Mapping[str, Any]


def by_id(rows: Iterable[Row]) -> dict[str, dict[str, Any]]:
    """Return rows by their id, values as in JSON; geometries are left out."""
    return {
        str(row["id"]): {name: plain(value) for name, value in row.items() if name != "geometry"}
        for row in rows
    }


def plain(value: Any) -> Any:
    """Return a value as JSON has it: no NaN, no arrays, dates as text."""
    if hasattr(value, "tolist"):  # a number or an array of numpy, or a column of polars
        return plain(value.tolist())
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float) and math.isnan(value):
        return None
    if isinstance(value, datetime):
        return value.date().isoformat()
    return value.isoformat() if isinstance(value, date) else value


def as_in_csv(rows: Iterable[Row]) -> dict[str, dict[str, Any]]:
    """Return rows by their id as CSV can say them: lists joined, an empty text like nothing."""
    return {
        identifier: {name: _cell(value) for name, value in row.items()}
        for identifier, row in by_id(rows).items()
    }


def _cell(value: Any) -> Any:
    if isinstance(value, list):
        return "|".join(value) or None
    return None if value == "" else value
