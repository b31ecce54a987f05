"""Hide rows, show them again, and note it for the feed of changes.

Rows are hidden where too few share their place, and where consent is not in force.
"""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from portal.publication.versions import BATCH, Span, Table, spans_of
from portal.records.changes import ADDED, CHANGED, REMOVED, TABLE_OF
from portal.records.models import ChangeEntry, HidingNote

Records = dict[str, set[UUID]]


def hide(which: Q, entry: ChangeEntry) -> set[Span]:
    """Hide rows in every release, and note what readers no longer see.

    Returns the spans of releases that the rows stood in.
    """
    spans: set[Span] = set()
    for kind, table in TABLE_OF.items():
        rows = table.objects.filter(which, hidden=False)
        spans |= spans_of(rows)
        records = set(rows.values_list("id", flat=True))
        rows.update(hidden=True)
        HidingNote.objects.filter(kind=kind, record__in=records, change=CHANGED).delete()
        _note(entry, kind, records - _seen(table, records), REMOVED)
    return spans


def take_names_off(which: Q, entry: ChangeEntry) -> set[Span]:
    """Take the recorder's name off rows in every release, and note which records changed.

    Returns the spans of releases that the rows stood in.
    """
    return _take_off(which & Q(recorded_by__isnull=False), entry, "recorded_by", "recorded_by_id")


def take_group_codes_off(which: Q, entry: ChangeEntry) -> set[Span]:
    """Take the group's code off rows in every release, and note which records changed.

    Returns the spans of releases that the rows stood in.
    """
    return _take_off(which & Q(group_code__isnull=False), entry, "group_code")


def _take_off(which: Q, entry: ChangeEntry, *columns: str) -> set[Span]:
    spans: set[Span] = set()
    for kind, table in TABLE_OF.items():
        rows = table.objects.filter(which)
        spans |= spans_of(rows)
        records = set(rows.values_list("id", flat=True))
        rows.update(**dict.fromkeys(columns))
        note_changed(entry, kind, records)
    return spans


def note_changed(entry: ChangeEntry, kind: str, records: set[UUID]) -> None:
    """Note that records changed in every release; readers are told of those that they see."""
    _note(entry, kind, _seen(TABLE_OF[kind], records), CHANGED)


def unhide(table: Table, site_ids: Iterable[UUID | None], lapsed: QuerySet[Any, Any]) -> set[Span]:
    """Show the rows of sites again whose group has grown enough, but for visits without consent.

    Returns the spans of releases that they stand in.
    """
    rows = table.objects.filter(hidden=True, site_id__in=list(site_ids))
    rows = rows.exclude(visit_id__in=lapsed)
    spans = spans_of(rows)
    rows.update(hidden=False)
    return spans


def hidden_now() -> Records:
    """Return the records whose newest version is hidden."""
    return {
        kind: set(table.objects.current().filter(hidden=True).values_list("id", flat=True))
        for kind, table in TABLE_OF.items()
    }


def note_shown_again(entry: ChangeEntry, were_hidden: Records) -> None:
    """Note which of the records that were hidden readers see again."""
    for kind, records in were_hidden.items():
        _note(entry, kind, _seen(TABLE_OF[kind], records), ADDED)


def _seen(table: Table, records: set[UUID]) -> set[UUID]:
    """Return those of the records that readers of the newest release see."""
    seen: set[UUID] = set()
    ordered = sorted(records)
    for start in range(0, len(ordered), BATCH):
        rows = table.objects.current().filter(hidden=False, id__in=ordered[start : start + BATCH])
        seen.update(rows.values_list("id", flat=True))
    return seen


def _note(entry: ChangeEntry, kind: str, records: set[UUID], change: str) -> None:
    HidingNote.objects.bulk_create(
        (HidingNote(entry=entry, kind=kind, record=one, change=change) for one in sorted(records)),
        batch_size=BATCH,
        ignore_conflicts=True,  # one act may change a record in two ways; it is told once
    )
