"""Read one page of published rows quickly, and tell how many match.

On PostgreSQL a choice of several values of one column (the cells of a box, a list of words) is
read as a merge: the first keys of each value by an index, then the first of all. The planner would
else walk the whole order, or sort all that match.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor
from typing import Any

import psycopg
from django.core.cache import cache
from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import Func, Model, QuerySet

from portal.records.documents import document_of

EXACT_UP_TO = 10_000
MOST_VALUES = 600
_CELLS_AROUND = 360
Box = tuple[float, float, float, float]
# From one cell to the next by the index: as many steps as there are cells, not rows.
_OCCUPIED = """
    WITH RECURSIVE occupied(number) AS (
        SELECT min(degree_cell) FROM {table}
        UNION ALL
        SELECT (SELECT min(degree_cell) FROM {table} WHERE degree_cell > occupied.number)
        FROM occupied WHERE occupied.number IS NOT NULL
    )
    SELECT number FROM occupied WHERE number IS NOT NULL
"""


@dataclass(frozen=True)
class Spread:
    """A column of which a query takes any of several values; an index holds it in page order.

    A merge by it is quick where nothing else is asked for; else the planner knows better.
    """

    column: str
    values: Sequence[Any]
    is_alone: bool = True


@dataclass(frozen=True)
class Total:
    """How many rows match."""

    rows: int
    is_estimate: bool = False


def cells_of(box: Box) -> list[int]:
    """Return the numbers of the cells of one degree that a box touches."""
    west, south, east, north = box
    first, last = floor(west + 180), floor(east + 180)
    around = [*range(first, _CELLS_AROUND + 1), *range(last + 1)]
    across = range(first, last + 1) if west <= east else around
    up = range(floor(south + 90), floor(north + 90) + 1)
    return [row * _CELLS_AROUND + column for row in up for column in across]


def spread_over(box: Box, table: type[Model], release: int, *, is_alone: bool) -> Spread | None:
    """Return the cells of a box to go through, unless too many of a release's rows lie in it."""
    cells = cells_of(box)
    if len(cells) > MOST_VALUES:
        cells = sorted(_occupied(table, release).intersection(cells))
    return Spread("degree_cell", cells, is_alone) if len(cells) <= MOST_VALUES else None


def _occupied(table: type[Model], release: int) -> frozenset[int]:
    """Return the cells in which rows lie; those of a release get no more."""
    key = f"occupied-{table._meta.db_table}-{release}"
    found: frozenset[int] | None = cache.get(key)
    if found is None:
        with connection.cursor() as cursor:
            cursor.execute(_OCCUPIED.format(table=table._meta.db_table))
            found = frozenset(cell for (cell,) in cursor.fetchall())
        cache.set(key, found)
    return found


def first_rows(rows: QuerySet[Any], limit: int, spread: Spread | None = None) -> QuerySet[Any]:
    """Return the first of sorted rows, by a merge if they are spread over values of a column."""
    if spread is None or connection.vendor != "postgresql":
        return rows[:limit]
    if not spread.is_alone:
        return rows.filter(**{f"{spread.column}__in": spread.values})[:limit]
    keys = _merged_keys(rows, limit, spread)
    found: QuerySet[Any] = rows.model.objects.filter(row__in=keys)
    return found.order_by(*rows.query.order_by)


def _merged_keys(rows: QuerySet[Any], limit: int, spread: Spread) -> list[int]:
    order = [str(name) for name in rows.query.order_by]
    names = [name.removeprefix("-") for name in order]
    one_value = Func(template="one.value", output_field=rows.model._meta.get_field(spread.column))
    of_value = rows.filter(**{spread.column: one_value}).values_list("row", *names)
    inner, parameters = of_value[:limit].query.sql_with_params()
    by = ", ".join(
        f'k."{name}"' + (" DESC" if asked.startswith("-") else "")
        for name, asked in zip(names, order, strict=True)
    )
    kind = "int" if spread.column == "degree_cell" else "text"
    statement = (
        f"SELECT k.row FROM unnest(%s::{kind}[]) AS one(value) "  # noqa: S608 -- names of ours
        f"CROSS JOIN LATERAL ({inner}) k ORDER BY {by} LIMIT {limit}"
    )
    return [row for (row,) in _fetched(statement, [list(spread.values), *parameters])]


def documents(rows: QuerySet[Any]) -> list[str]:
    """Return the document of each row; what is not prepared is made."""
    found = _found(rows.values_list("document", "row"))
    missing = [row for document, row in found if document is None]
    made: dict[int, str] = {}
    if missing:
        made = {row.row: document_of(row) for row in rows.model.objects.filter(row__in=missing)}
    return [document or made[row] for document, row in found]


def _found(chosen: QuerySet[Any, tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    if connection.vendor != "postgresql":
        return list(chosen)
    try:
        return _fetched(*chosen.query.sql_with_params())
    except EmptyResultSet:  # a merge that found nothing
        return []


def _fetched(statement: str, parameters: Iterable[Any]) -> list[tuple[Any, ...]]:
    """Return what PostgreSQL finds, in its binary form, by a statement that it prepares.

    Django's own cursor does neither; what watches Django's cursors sees this one too.
    """
    with connection.cursor() as cursor:
        cursor.cursor.close()
        cursor.cursor = psycopg.Cursor(connection.connection)
        cursor.cursor.format = psycopg.pq.Format.BINARY
        cursor.execute(statement, list(parameters))
        found: list[tuple[Any, ...]] = cursor.fetchall()
    return found


def total(rows: QuerySet[Any], spread: Spread | None = None, *, exact: bool = False) -> Total:
    """Return how many rows match: exact up to 10,000 or if asked to, else PostgreSQL's estimate."""
    if exact or connection.vendor != "postgresql":
        return Total(rows.count())
    if spread is not None:
        rows = rows.filter(**{f"{spread.column}__in": spread.values})
    ids = rows.order_by().values_list("id")
    counted = ids[: EXACT_UP_TO + 1].count()
    if counted <= EXACT_UP_TO:
        return Total(counted)
    (plan,) = json.loads(ids.explain(format="json"))
    return Total(max(counted, _rounded(plan["Plan"]["Plan Rows"])), is_estimate=True)


def _rounded(number: int) -> int:
    """Return a number with two significant digits, for an estimate has no more."""
    step = int(10 ** max(0, len(str(number)) - 2))
    return number // step * step
