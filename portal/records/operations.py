"""Number the acts that change what readers see, and prepare what is read."""

from datetime import datetime

from portal.records.models import ChangeEntry, Release
from portal.records.queries import TABLES, newest_entry


def hold_feed() -> None:
    """Make whoever else would change the public data wait until this transaction ends.

    Call it before reading anything that the act depends on: a release must not publish what is
    being withdrawn, and entries must be committed in the order of their numbers.
    """
    ChangeEntry.objects.select_for_update().order_by("number").first()


def add_entry(*, at: datetime, release: Release | None = None) -> ChangeEntry:
    """Add the next entry to the feed; the caller's transaction holds the feed."""
    return ChangeEntry.objects.create(number=newest_entry() + 1, release=release, at=at)


def prepare_documents() -> None:
    """Write the documents of published rows that have none, as after a column was changed."""
    for table in TABLES.values():
        table.objects.prepare_documents()
