"""Freeze the rows of a query."""

import secrets
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from tempfile import TemporaryFile
from typing import IO, Any

from django.db import IntegrityError, transaction

from portal.records.models import Release
from portal.records.queries import newest_entry
from portal.snapshots.models import ID_LENGTH, Snapshot, SnapshotIds
from portal.snapshots.queries import (
    ID_BYTES,
    IDS_OF_A_PART,
    Writer,
    content_of,
    hash_of,
    in_time,
    snapshot_of_query,
)

# Without letters and digits that are taken for one another; twelve of them are 59 random bits.
_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"


@dataclass(frozen=True)
class Question:
    """An understood query of a release: what is asked, and how it is said again."""

    release: Release
    collection: str
    query: str
    fields: list[str]
    sort: str


def freeze(
    question: Question, rows: Iterable[Any], write: Writer, *, at: datetime
) -> tuple[Snapshot, bool]:
    """Freeze the rows of a query; the second value tells whether that is news.

    Parameters
    ----------
    question : Question
        The query.
    rows : iterable
        Its published rows in their order, from one state of the data; not read before now.
    write : callable
        What turns rows into NDJSON, whose bytes the checksum is of.
    at : datetime
        The instant.

    Raises
    ------
    IntegrityError
        If it cannot be kept.
    """
    entry = newest_entry()  # asked first: what is withdrawn while rows are read is told later
    with TemporaryFile() as ids:
        passing = _Passing(ids)
        content = content_of(write(passing.noted(in_time(rows))))
        snapshot = Snapshot(
            id="".join(secrets.choice(_LETTERS) for _ in range(ID_LENGTH)),
            release=question.release,
            collection=question.collection,
            query=question.query,
            query_sha256=hash_of(question.query),
            fields=question.fields,
            sort=question.sort,
            rows=passing.rows,
            size_bytes=content.size_bytes,
            sha256=content.sha256,
            created_at=at,
            entry=entry,
            **_credits(question.release, passing.group_codes),
        )
        try:
            _keep(snapshot, ids)
        except IntegrityError:  # somebody froze the same query meanwhile
            held = snapshot_of_query(question.query)
            if held is None:
                raise
            return held, False
    return snapshot, True


class _Passing:
    """Rows on their way: their ids go to a file, their groups are remembered."""

    def __init__(self, ids: IO[bytes]) -> None:
        self.rows = 0
        self.group_codes: set[str | None] = set()
        self._ids = ids

    def noted(self, rows: Iterable[Any]) -> Iterator[Any]:
        """Yield the rows."""
        for row in rows:
            self._ids.write(row.id.bytes)
            self.group_codes.add(row.group_code)
            self.rows += 1
            yield row


@transaction.atomic
def _keep(snapshot: Snapshot, ids: IO[bytes]) -> None:
    snapshot.save(force_insert=True)
    ids.seek(0)
    parts = iter(partial(ids.read, ID_BYTES * IDS_OF_A_PART), b"")
    for number, part in enumerate(parts):
        SnapshotIds.objects.create(snapshot=snapshot, number=number, ids=part)


def _credits(release: Release, codes: set[str | None]) -> dict[str, object]:
    """Return the groups to be credited; a code on a row is public, a name by agreement."""
    named = {group["code"]: group["name"] for group in release.credits}
    return {
        "groups": [name for code, name in named.items() if code in codes],
        "has_unnamed_groups": not codes <= set(named),
    }
