"""Rows of flat tables as lines of CSV that a PostgreSQL server writes itself, far faster than we.

Its cells are those of `cells.py`, which writes them from rows on every other database.
"""

from collections.abc import Generator, Sequence
from typing import Any

from django.db import connection
from django.db.models import F, Func, QuerySet, TextField

from portal.archive.cells import LIST_SEPARATOR
from portal.records.fields import Field
from portal.records.snapshot import copied_lines

# A whole number keeps its decimal point; from 1e15 on the server writes an exponent as we do.
_NUMBER = "CASE WHEN {0} = trunc({0}) AND abs({0}) < 1e15 THEN {0}::text || '.0' ELSE {0}::text END"
_WORDS = f"array_to_string(ARRAY(SELECT jsonb_array_elements_text({{0}})), '{LIST_SEPARATOR}')"
_CELLS = {
    "number": _NUMBER,
    "yes/no": "{0}::text",
    "words": f"nullif({_WORDS}, '')",
    "day": "to_char({0}, 'YYYY-MM-DD')",
}
_AS_THEY_ARE = ("id", "whole number")
_TEXT = "nullif({0}, '')"  # else an empty text would be quoted, to tell it from null


def is_copied() -> bool:
    """Tell whether the database can write CSV."""
    return connection.vendor == "postgresql"


def copied_csv(rows: QuerySet[Any], fields: Sequence[Field]) -> Generator[list[bytes]]:
    """Yield lines of CSV in parts, without a head and without their ends; for PostgreSQL alone."""
    cells = {f"cell_{number}": _cell(field) for number, field in enumerate(fields)}
    return copied_lines(rows.annotate(**cells).values_list(*cells))


def ended(lines: Sequence[bytes]) -> bytes:
    """Return lines with the ends that RFC 4180 wants."""
    return b"\r\n".join([*lines, b""])


def as_text(template: str, column: str) -> Func:
    """Return an SQL expression over a column, which stands in it as ``{0}``."""
    whole = template.format("%(expressions)s")
    return Func(F(column), template=whole, output_field=TextField())


def _cell(field: Field) -> F | Func:
    if field.type in _AS_THEY_ARE:
        return F(field.name)
    return as_text(_CELLS.get(field.type, _TEXT), field.name)
