"""What changed: entry by entry for the feed, and between one release and the next.

An entry of the feed is one act, a release or a withdrawal. Its changes are not copied: they are
read from the row versions that the release opened and closed, the tombstones that the withdrawal
left, and notes on records that were hidden or came back. A reader gets each change exactly once:

- Entries are numbered without gaps by whoever holds the feed until the commit. An entry that can
  be seen has no unseen one before it, so none appears behind a reader's back.
- Everything that an entry tells is written in its own transaction and never again, so nothing is
  added to an entry later, and changes come in order of kind and id: a position is never passed
  twice. All parts of a page are read in one statement, hence from one state of the data.
- Later acts only take changes away or repeat them at the end. Withdrawing deletes row versions
  and notes, so a reader who has not come to a record yet never hears of its id until the
  withdrawal, an entry of its own; one who has hears of it there. Hiding silences every version of
  a record, so it leaves the note ``removed`` at the end of the feed whether or not the record had
  left before; when it is shown again, the release that does so leaves the note ``added``. A name
  taken off old and new versions alike leaves the note ``changed``.

What a reader holds in the end is decided by the last thing told of each id, so a removal or
withdrawal of an id that the reader never had says nothing new. Hidden rows are never read here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import CharField, F, QuerySet, Value

from portal.records.models import ChangeEntry, HidingNote, Tombstone
from portal.records.queries import KINDS, TABLES

TABLE_OF = {KINDS[name]: table for name, table in TABLES.items()}
KIND_ORDER = tuple(TABLE_OF)
ADDED, CHANGED, REMOVED, WITHDRAWN = "added", "changed", "removed", "withdrawn"
PARTS_OF_AN_ID = 4  # an id is opened, closed, noted and withdrawn in one entry at the very most
CHUNK = 1000
OPENED, CLOSED = "opened", "closed"


@dataclass(frozen=True)
class Position:
    """How far a reader has come: behind an id of a kind in an entry, or at an entry's end."""

    entry: int = 0
    kind: int = len(KIND_ORDER)
    after: UUID | None = None

    @property
    def done(self) -> int:
        """Return the number of the last entry that was read to its end."""
        return self.entry if self.kind == len(KIND_ORDER) else self.entry - 1


@dataclass(frozen=True)
class Change:
    """One change of one record; the stone is there if it was withdrawn."""

    entry: ChangeEntry
    kind: str
    id: UUID
    change: str
    stone: Tombstone | None = None

    @property
    def position(self) -> Position:
        """Return the position of a reader who has just read the change."""
        return Position(self.entry.number, KIND_ORDER.index(self.kind), self.id)


@dataclass(frozen=True)
class FeedPage:
    """Changes in order, where to go on, and whether there was more when it was read."""

    changes: list[Change]
    position: Position
    more: bool


class Marked(NamedTuple):
    """Ids with what was found about each, the last id, and whether there may be more."""

    ids: list[tuple[UUID, set[str]]]
    after: UUID | None
    more: bool


def read_feed(position: Position, *, limit: int) -> FeedPage:
    """Return the changes behind a position."""
    found: list[Change] = []
    while len(found) <= limit:
        entry = _entry_at(position)
        if entry is None:
            return FeedPage(found, position, more=False)
        if entry.number != position.entry:
            position = Position(entry.number, 0)
        told, position = _read_kind(entry, position, limit + 1 - len(found))
        found += told
    return FeedPage(found[:limit], found[limit - 1].position, more=True)


def release_changes(number: int, kind: str) -> Iterator[tuple[UUID, str]]:
    """Yield id and change between a release and the one before it, as both stand now."""
    after, more = None, True
    while more:
        marked, after, more = _marked(_versions(number, kind), after, CHUNK)
        for record, marks in marked:
            yield record, _told(marks)


def _entry_at(position: Position) -> ChangeEntry | None:
    following = ChangeEntry.objects.select_related("release").filter(number__gt=position.done)
    return following.order_by("number").first()


def _read_kind(entry: ChangeEntry, position: Position, limit: int) -> tuple[list[Change], Position]:
    """Read on inside one kind, if anything is left of it."""
    kind = KIND_ORDER[position.kind]
    marked, after, more = _marked(_parts(entry, kind), position.after, limit)
    told = {record: _told(marks) for record, marks in marked}
    stones = Tombstone.objects.in_bulk([one for one in told if told[one] == WITHDRAWN])
    changes = [Change(entry, kind, one, told[one], stones.get(one)) for one in told]
    if not more:
        return changes, Position(entry.number, position.kind + 1)
    return changes, Position(entry.number, position.kind, after)


def _told(marks: set[str]) -> str:
    """Return what was done to a record, of all that was found about it."""
    for change in (WITHDRAWN, REMOVED, ADDED, CHANGED):
        if change in marks:
            return change
    if OPENED in marks:
        return CHANGED if CLOSED in marks else ADDED
    return REMOVED


def _parts(entry: ChangeEntry, kind: str) -> list[QuerySet[Any, Any]]:
    notes = HidingNote.objects.filter(entry=entry, kind=kind)
    stones = Tombstone.objects.filter(entry=entry, kind=kind)
    parts = [
        _part(notes, "record", F("change")),
        _part(stones, "id", Value(WITHDRAWN, output_field=CharField())),
    ]
    return parts + (_versions(entry.release_id, kind) if entry.release_id is not None else [])


def _versions(number: int, kind: str) -> list[QuerySet[Any, Any]]:
    rows = TABLE_OF[kind].objects.filter(hidden=False)
    return [
        _part(rows.filter(since_release=number), "id", Value(OPENED, output_field=CharField())),
        _part(rows.filter(until_release=number), "id", Value(CLOSED, output_field=CharField())),
    ]


def _part(rows: QuerySet[Any], key: str, mark: Any) -> QuerySet[Any, Any]:
    part: QuerySet[Any, Any] = rows.order_by().annotate(about=F(key), mark=mark)
    return part.values_list("about", "mark")


def _marked(parts: list[QuerySet[Any, Any]], after: UUID | None, limit: int) -> Marked:
    """Return about as many ids as wanted, at least one if there is any."""
    if after is not None:
        parts = [part.filter(about__gt=after) for part in parts]
    size = limit + PARTS_OF_AN_ID
    first, *others = parts
    rows = list(first.union(*others, all=True).order_by("about")[:size])
    ids = [(about, {mark for _, mark in its}) for about, its in groupby(rows, itemgetter(0))]
    more = len(rows) == size
    if more:
        ids.pop()  # other marks of it may lie behind the end
    return Marked(ids, ids[-1][0] if ids else after, more)
