"""Hide rows whose place too few share, show them again, and note it for the feed of changes."""

from collections.abc import Iterable
from uuid import UUID

from portal.publication.versions import BATCH, Span, Table, spans_of
from portal.records.changes import ADDED, REMOVED, TABLE_OF
from portal.records.models import ChangeEntry, HidingNote

Records = dict[str, set[UUID]]


def hide(site_ids: set[UUID], entry: ChangeEntry) -> set[Span]:
    """Hide every row of sites, and note what readers no longer see.

    Returns the spans of releases that the rows stood in.
    """
    spans: set[Span] = set()
    for kind, table in TABLE_OF.items():
        rows = table.objects.filter(site_id__in=site_ids, hidden=False)
        spans |= spans_of(rows)
        records = set(rows.values_list("id", flat=True))
        rows.update(hidden=True)
        _note(entry, kind, records - _seen(table, records), REMOVED)
    return spans


def unhide(table: Table, site_ids: Iterable[UUID | None]) -> set[Span]:
    """Show the rows of sites again whose group has grown enough.

    Returns the spans of releases that they stand in.
    """
    rows = table.objects.filter(hidden=True, site_id__in=list(site_ids))
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
    )
