"""Freeze published rows as plain lines of their ids, whichever way the API writes them."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from typing import Any

from portal.records.models import Release
from portal.records.queries import TABLES
from portal.snapshots.models import Snapshot
from portal.snapshots.operations import Question, freeze

AT = datetime(2026, 2, 3, 23, 30, tzinfo=UTC)


def lines(rows: Iterable[Any]) -> Iterator[bytes]:
    """Write a line a row."""
    return (f"{row.id}\n".encode() for row in rows)


def asked(release: Release, collection: str, query: str = "") -> Question:
    """Return a question for all columns."""
    text = query or f"/api/v1/{collection}?release={release.number}"
    return Question(release, collection, text, ["id"], "sampled_on")


def frozen(release: Release, collection: str = "counts", **columns: Any) -> Snapshot:
    """Freeze the rows of a collection that have these values, in the order of their ids."""
    rows = TABLES[collection].objects.at(release.number).filter(**columns).order_by("id")
    query = f"/api/v1/{collection}?release={release.number}&{sorted(columns.items())}"
    snapshot, is_new = freeze(asked(release, collection, query), rows, lines, at=AT)
    assert is_new
    return snapshot
