"""Signed key-set cursors: they never lose or repeat a row, however deep the page.

Nulls come last in either direction, by a rank column before the key, so that SQLite and
PostgreSQL agree. The id settles ties and runs the way of the key, so that one index on both
serves both directions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.core import signing
from django.db.models import Case, Field, IntegerField, QuerySet, Value, When
from django.db.models import Q as Condition

SALT = "api.cursor"


class CursorInvalid(Exception):  # noqa: N818 -- reads as what happened
    """The cursor was not made here or was changed."""


class CursorMismatch(Exception):  # noqa: N818 -- reads as what happened
    """The cursor belongs to another query."""


@dataclass(frozen=True)
class Order:
    """A sort column and the id, ascending or not; ``nullable`` columns put nulls last."""

    column: str
    descending: bool = False
    nullable: bool = False

    def apply(self, rows: QuerySet[Any], *, backwards: bool) -> QuerySet[Any]:
        """Sort rows by the column, then by id."""
        flip = "-" if backwards != self.descending else ""
        keys = [f"{flip}{self.column}", f"{flip}id"]
        if self.nullable:
            rank = Case(
                When(**{f"{self.column}__isnull": True}, then=Value(1)),
                default=Value(0),
                output_field=IntegerField(),
            )
            rows = rows.annotate(null_rank=rank)
            keys.insert(0, "-null_rank" if backwards else "null_rank")
        return rows.order_by(*keys)

    def sorted(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        """Return all rows in this order."""
        return self.apply(rows, backwards=False)

    def beyond(self, key: Any, row_id: UUID, *, backwards: bool) -> Condition:
        """Return the condition for rows behind (or before) a row of this key and id."""
        side = "lt" if backwards != self.descending else "gt"
        id_beyond = Condition(**{f"id__{side}": row_id})
        if key is None:
            same = Condition(**{f"{self.column}__isnull": True}) & id_beyond
            return same | Condition(**{f"{self.column}__isnull": False}) if backwards else same
        # Written so that the first half alone bounds the search in an index.
        behind = Condition(**{f"{self.column}__{side}e": key}) & (
            Condition(**{f"{self.column}__{side}": key}) | id_beyond
        )
        if self.nullable and not backwards:
            behind |= Condition(**{f"{self.column}__isnull": True})
        return behind


# The value of a row's sort column, and its id.
Key = tuple[Any, UUID]


@dataclass(frozen=True)
class Reader:
    """How the first of sorted rows are read, and what is the key of one that was read."""

    read: Callable[[QuerySet[Any], int], Iterable[Any]]
    key: Callable[[Any, str], Key]


MODEL_ROWS = Reader(
    read=lambda rows, limit: rows[:limit], key=lambda row, column: (getattr(row, column), row.id)
)


@dataclass(frozen=True)
class Page:
    """One page of rows, with the cursors to its neighbours."""

    rows: list[Any]
    next_cursor: str | None
    previous_cursor: str | None


def read_page(
    rows: QuerySet[Any],
    order: Order,
    *,
    limit: int,
    cursor: str | None,
    query: str,
    reader: Reader = MODEL_ROWS,
) -> Page:
    """Return the page at a cursor; ``query`` is what the cursor is bound to.

    Raises
    ------
    CursorInvalid
        If the cursor cannot be read.
    CursorMismatch
        If it was made for another query.
    """
    backwards, position = False, None
    if cursor is not None:
        backwards, key, row_id = _read(cursor, order, rows, query)
        position = order.beyond(key, row_id, backwards=backwards)
    wanted = rows.filter(position) if position is not None else rows
    found = list(reader.read(order.apply(wanted, backwards=backwards), limit + 1))
    more = len(found) > limit
    found = found[:limit]
    if backwards:
        found.reverse()
    has_next = bool(found) and (backwards or more)
    has_previous = bool(found) and (more if backwards else cursor is not None)
    field = rows.model._meta.get_field(order.column)

    def cursor_at(row: Any, *, backwards: bool) -> str:
        return _write(reader.key(row, order.column), field, query, backwards=backwards)

    return Page(
        rows=found,
        next_cursor=cursor_at(found[-1], backwards=False) if has_next else None,
        previous_cursor=cursor_at(found[0], backwards=True) if has_previous else None,
    )


def _signer() -> signing.Signer:
    return signing.Signer(salt=SALT)


def _write(key_of_row: Key, field: Field[Any, Any], query: str, *, backwards: bool) -> str:
    value, row_id = key_of_row
    key = None
    if value is not None:  # as a column holds it, whatever it was read from
        key = field.value_to_string(field.model(**{field.attname: field.to_python(value)}))
    # No time inside: the same page has the same links, and a cursor never expires.
    return _signer().sign_object([key, row_id.hex, int(backwards), query])


def _read(cursor: str, order: Order, rows: QuerySet[Any], query: str) -> tuple[bool, Any, UUID]:
    try:
        key, row_id, backwards, made_for = _signer().unsign_object(cursor)
    except (signing.BadSignature, ValueError, TypeError) as error:
        msg = "The cursor is not one of ours."
        raise CursorInvalid(msg) from error
    if made_for != query:  # the key may then be of another column's kind
        msg = "The cursor belongs to another query."
        raise CursorMismatch(msg)
    field: Field[Any, Any] = rows.model._meta.get_field(order.column)
    value = None if key is None else field.to_python(key)
    return bool(backwards), value, UUID(row_id)
