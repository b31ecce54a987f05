"""Dates: readable, agreeing with their parts, not in the future, children within parents."""

from collections.abc import Iterator

from portal.checkarchive.calendar_days import Span, is_day_interval, span_of
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole

Problems = Iterator[Problem]
_EVENT_DATE = "Darwin Core term eventDate; ISO 8601-1:2019"
_DATES = (
    "eventDate",
    "dateIdentified",
    "georeferencedDate",
    "measurementDeterminedDate",
    "modified",
)
_PARTS = ("year", "month", "day")


@rule("date-form", "row", _EVENT_DATE, needs=_DATES)
def form(row: Row) -> Problems:
    """Write YYYY-MM-DD, YYYY-MM or YYYY, with time and offset or as start/end where needed."""
    for name in _DATES:
        if row[name] and span_of(row[name]) is None:
            yield Problem(name, row[name])


@rule("date-order", "row", _EVENT_DATE, needs=("eventDate",))
def order(row: Row) -> Problems:
    """Write the start of an interval before its end."""
    span = span_of(row["eventDate"])
    if span and span.first_on > span.last_on:
        yield Problem("eventDate", row["eventDate"])


@rule(
    "date-day-interval",
    "row",
    "Darwin Core term eventDate, 2025-06-12",
    severity="note",
    needs=("eventDate",),
)
def day_interval(row: Row) -> Problems:
    """Avoid intervals of whole days: readers differ on whether the last day belongs to them."""
    if is_day_interval(row["eventDate"]) and span_of(row["eventDate"]):
        yield Problem("eventDate", row["eventDate"])


@rule("date-parts", "row", "Darwin Core terms eventDate, year, month, day", needs=_PARTS)
def parts(row: Row) -> Problems:
    """Write year, month and day as eventDate has them; what an interval does not share is empty."""
    span = span_of(row["eventDate"])
    for name in _PARTS:
        if span and row[name] and row[name].lstrip("0") != str(_part(span, name)):
            yield Problem(name, f"{row[name]}, but eventDate is {row['eventDate']}")


@rule("date-future", "row", "common practice, no source", needs=("eventDate",))
def future(row: Row) -> Problems:
    """Correct the date: the event would come after the archive was published."""
    span, latest_on = span_of(row["eventDate"]), row.yardstick.latest_on
    if span and latest_on and span.first_on > latest_on:
        yield Problem("eventDate", row["eventDate"])


@rule("date-parent", "whole", "Darwin Core term parentEventID")
def parent(whole: Whole) -> Problems:
    """Let the dates of a parent event cover those of its children."""
    for value, file, row in whole.ledger.ask("""
        SELECT child.first_on || '/' || child.last_on, child.file, child.row FROM core AS child
        JOIN core AS parent ON parent.rowid = (
            SELECT min(above.rowid) FROM core AS above WHERE above.id = child.parent)
        WHERE child.parent <> ''
            AND (child.first_on < parent.first_on OR child.last_on > parent.last_on)
    """):
        yield Problem("eventDate", value, row, file)


def _part(span: Span, name: str) -> int | None:
    return {"year": span.year, "month": span.month, "day": span.day}[name]
