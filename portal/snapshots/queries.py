"""The rows of a snapshot again, and what became of them since."""

import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from time import monotonic
from typing import Any, cast
from uuid import UUID

from django.conf import settings
from django.core.cache import cache
from django.db.models import QuerySet

from portal.records.changes import CHANGED, REMOVED
from portal.records.models import HidingNote, PublishedVisit, Tombstone
from portal.records.queries import KINDS, TABLES, newest_entry
from portal.snapshots.models import Snapshot

ID_BYTES = 16
IDS_OF_A_PART = 10_000
KEPT_FOR_S = 24 * 60 * 60
_FETCHED_AT_ONCE = 1_000
Writer = Callable[[Iterable[Any]], Iterator[bytes]]  # of rows as NDJSON


class ChangedWhileReadError(RuntimeError):
    """Rows were withdrawn, hidden or released while a snapshot was being read."""


class TooLongError(RuntimeError):
    """To read all rows took longer than it may."""


@dataclass(frozen=True)
class Standing:
    """What became of the rows of a snapshot since.

    Parameters
    ----------
    withdrawn
        The ids of rows that were withdrawn, oldest first.
    not_shown
        How many are hidden now.
    retold
        How many tell less than then: a name, a group's code or a rare word was taken off.
    untouched
        Whether no row was ever taken out, hidden or retold; one that came back may tell less.
    """

    withdrawn: tuple[UUID, ...]
    not_shown: int
    retold: int = 0
    untouched: bool = True

    @property
    def is_whole(self) -> bool:
        """Tell whether every row still stands as it was."""
        return not self.withdrawn and not self.not_shown and not self.retold


@dataclass(frozen=True)
class Checked:
    """What the rows of a snapshot that are still shown are now, and how many were withdrawn."""

    rows: int
    sha256: str
    withdrawn: int


@dataclass(frozen=True)
class Content:
    """What bytes hold: how many there are, and their SHA-256."""

    size_bytes: int
    sha256: str


def groups_told(snapshot: Snapshot) -> tuple[str, ...]:
    """Return the names of groups on the rows of a snapshot that may still be told.

    A name goes once its group's code stands on no visit of the release: codes are taken off
    where too few households are left, and the name would say the same.
    """
    visits = PublishedVisit.objects.at(snapshot.release_id)
    told = {
        group["name"]
        for group in snapshot.release.credits
        if group["name"] in snapshot.groups and visits.filter(group_code=group["code"]).exists()
    }
    return tuple(name for name in snapshot.groups if name in told)


def snapshot_of_query(query: str) -> Snapshot | None:
    """Return the snapshot that a normalised query has already, if any."""
    return Snapshot.objects.select_related("release").filter(query_sha256=hash_of(query)).first()


def hash_of(query: str) -> str:
    """Return what a query is found by; it may be longer than an index takes."""
    return hashlib.sha256(query.encode()).hexdigest()


def rows_between(snapshot: Snapshot, first: int, size: int) -> list[Any]:
    """Return those of so many rows from a place in the order that are still shown."""
    ids: list[UUID] = []
    while len(ids) < size:
        number, start = divmod(first + len(ids), IDS_OF_A_PART)
        part = _part(snapshot, number)[start : start + size - len(ids)]
        if not part:
            break
        ids += part
    return _rows(snapshot, ids)


def every_row(snapshot: Snapshot) -> Iterator[Any]:
    """Yield all rows that are still shown, in their order, from one state of the data.

    No transaction is kept open for a slow reader: whatever takes a published row away leaves an
    entry in the feed of changes, and so does a release.

    Raises
    ------
    ChangedWhileReadError
        If there was such an entry since the first row.
    """
    state = newest_entry()
    for number in range(-(-snapshot.rows // IDS_OF_A_PART)):
        part = _part(snapshot, number)
        for start in range(0, len(part), _FETCHED_AT_ONCE):
            rows = _rows(snapshot, part[start : start + _FETCHED_AT_ONCE])
            _require_state(state)
            yield from rows


def checked(snapshot: Snapshot, write: Writer) -> Checked:
    """Return what the rows of a snapshot are now; all of them are read."""
    state = newest_entry()
    shown = 0

    def counted() -> Iterator[Any]:
        nonlocal shown
        for row in in_time(every_row(snapshot)):
            shown += 1
            yield row

    content = content_of(write(counted()))
    withdrawn = len(standing_of(snapshot).withdrawn)
    _require_state(state)
    return Checked(shown, content.sha256, withdrawn)


def in_time(rows: Iterable[Any]) -> Iterator[Any]:
    """Yield rows as long as the reading of a whole snapshot may take.

    Raises
    ------
    TooLongError
        If it takes longer.
    """
    deadline = monotonic() + settings.SNAPSHOT_SECONDS
    for row in rows:
        if monotonic() > deadline:
            message = f"It took longer than {settings.SNAPSHOT_SECONDS} seconds."
            raise TooLongError(message)
        yield row


def content_of(parts: Iterable[bytes]) -> Content:
    """Return what bytes hold, part by part."""
    size_bytes, digest = 0, hashlib.sha256()
    for part in parts:
        size_bytes += len(part)
        digest.update(part)
    return Content(size_bytes, digest.hexdigest())


def standing_of(snapshot: Snapshot) -> Standing:
    """Return what became of the rows, from the feed of changes and without reading the rows.

    It is kept until there is another entry in the feed.
    """
    key = f"snapshot/{snapshot.pk}/{newest_entry()}"
    return cast("Standing", cache.get_or_set(key, lambda: _standing(snapshot), KEPT_FOR_S))


def told_content(snapshot: Snapshot) -> Content | None:
    """Return size and checksum of the rows as they were, as long as none was taken out.

    Later they would give a row back that was taken out: few columns with few words each are soon
    tried until the checksum fits.
    """
    if not standing_of(snapshot).untouched:
        return None
    return Content(snapshot.size_bytes, snapshot.sha256)


def _require_state(entry: int) -> None:
    if newest_entry() != entry:
        message = "The data changed while the rows were being read."
        raise ChangedWhileReadError(message)


def _standing(snapshot: Snapshot) -> Standing:
    later = {"kind": _kind(snapshot), "entry__gt": snapshot.entry}
    stones = Tombstone.objects.filter(**later).order_by("entry", "id")
    buried = list(stones.values_list("id", flat=True))
    noted: dict[str, set[UUID]] = {REMOVED: set(), CHANGED: set()}
    notes = HidingNote.objects.filter(**later, change__in=noted)
    for record, change in notes.values_list("record", "change"):
        noted[change].add(record)
    members = _members_among(snapshot, noted[REMOVED].union(noted[CHANGED], buried))
    lost = sorted((members & noted[REMOVED]).difference(buried))
    shown = sum(
        _table(snapshot).filter(id__in=lost[start : start + _FETCHED_AT_ONCE]).count()
        for start in range(0, len(lost), _FETCHED_AT_ONCE)
    )
    withdrawn = tuple(record for record in buried if record in members)
    retold = (members & noted[CHANGED]).difference(buried)
    return Standing(withdrawn, len(lost) - shown, len(retold), untouched=not members)


def _members_among(snapshot: Snapshot, ids: set[UUID]) -> set[UUID]:
    """Return those of the ids that the snapshot holds; parts are read only if there are any."""
    wanted = {record.bytes for record in ids}
    found: set[bytes] = set()
    if wanted:
        parts = snapshot.id_parts.order_by("number").values_list("ids", flat=True)
        for part in parts.iterator(chunk_size=1):
            found.update(wanted.intersection(_cut(bytes(part))))
    return {UUID(bytes=record) for record in found}


def _part(snapshot: Snapshot, number: int) -> list[UUID]:
    part = snapshot.id_parts.filter(number=number).values_list("ids", flat=True).first()
    return [] if part is None else [UUID(bytes=record) for record in _cut(bytes(part))]


def _cut(ids: bytes) -> Iterator[bytes]:
    return (ids[start : start + ID_BYTES] for start in range(0, len(ids), ID_BYTES))


def _rows(snapshot: Snapshot, ids: list[UUID]) -> list[Any]:
    by_id = {row.id: row for row in _table(snapshot).filter(id__in=ids)}
    return [by_id[record] for record in ids if record in by_id]


def _table(snapshot: Snapshot) -> QuerySet[Any]:
    table = TABLES.get(snapshot.collection, TABLES["counts"])
    return table.objects.at(snapshot.release_id)


def _kind(snapshot: Snapshot) -> str:
    return KINDS.get(snapshot.collection, KINDS["counts"])
