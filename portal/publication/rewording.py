"""Tell published words more coarsely, in every version of the rows of some sites."""

from collections.abc import Collection
from typing import Any
from uuid import UUID

from portal.publication.columns import filter_text
from portal.publication.sight import note_changed
from portal.publication.versions import Span, Table
from portal.publication.wording import Wording, reworded
from portal.records.changes import TABLE_OF
from portal.records.models import ChangeEntry, PublishedVisit

_VISIT_COLUMNS = ("habitats", "habitats_text")
_PIT_COLUMNS = ("habitat", "management", "management_text")
_AT_ONCE = 200


def reword(site_ids: Collection[UUID], wording: Wording, entry: ChangeEntry) -> set[Span]:
    """Put coarser words for those that may not be shown, and note which records changed.

    Returns the spans of releases that the rows stood in.
    """
    spans: set[Span] = set()
    for kind, table in TABLE_OF.items():
        columns = _VISIT_COLUMNS if table is PublishedVisit else _PIT_COLUMNS
        touched = [row for row in _rows(table, site_ids, columns) if _reword(row, wording)]
        table._default_manager.bulk_update(touched, columns, batch_size=_AT_ONCE)
        spans.update((row.since_release, row.until_release) for row in touched)
        note_changed(entry, kind, {row.id for row in touched})
    return spans


def _rows(table: Table, site_ids: Collection[UUID], columns: tuple[str, ...]) -> list[Any]:
    rows = table._default_manager.filter(site_id__in=site_ids)
    return list(rows.only("id", "since_release", "until_release", *columns))


def _reword(row: Any, wording: Wording) -> bool:
    """Change the words of a row; tells whether any had to be."""
    habitat, management = wording.get("habitat", {}), wording.get("management", {})
    if isinstance(row, PublishedVisit):
        words = row.habitats
        row.habitats = reworded(words, habitat)
        row.habitats_text = filter_text(row.habitats)
        return bool(row.habitats != words)
    before = row.habitat, row.management
    (row.habitat,) = reworded([row.habitat], habitat)
    if row.management is not None:
        row.management = sorted(set(reworded(row.management, management)))
        row.management_text = filter_text(row.management)
    return bool((row.habitat, row.management) != before)
