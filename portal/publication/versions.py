"""Open and close row versions so that a release differs from the last where the data do."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db.models import Min

from portal.records.models import (
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
)

BATCH = 500
_BOOKKEEPING = {"row", "since_release", "until_release", "hidden", "modified_at"}
Table = type[PublishedVisit] | type[PublishedPit] | type[PublishedCount]


class VersionWriter:
    """Take the rows of a release one by one and write only what changed."""

    def __init__(self, table: Table, release: Release) -> None:
        self.table = table
        self.release = release
        self.names = [
            field.attname for field in table._meta.concrete_fields if field.name not in _BOOKKEEPING
        ]
        self.current = {row.id: row for row in table.objects.current().iterator()}
        self.fresh: list[Any] = []
        self.closing: list[int] = []

    def take(self, columns: dict[str, Any]) -> None:
        """Take one row; every column of the table must be there.

        Raises
        ------
        KeyError
            If a column is missing.
        """
        wanted = {name: columns[name] for name in self.names}
        held = self.current.pop(columns["id"], None)
        if held is not None and all(getattr(held, name) == wanted[name] for name in self.names):
            return
        if held is not None:
            self.closing.append(held.row)
        self.fresh.append(
            self.table(
                **wanted, since_release=self.release.number, modified_at=self.release.issued_at
            )
        )

    def write(self) -> None:
        """Close the versions that changed or are gone, and open the new ones."""
        self.closing += [row.row for row in self.current.values()]
        for start in range(0, len(self.closing), BATCH):
            rows = self.closing[start : start + BATCH]
            self.table.objects.filter(row__in=rows).update(until_release=self.release.number)
        self.fresh.sort(key=lambda row: row.id.bytes)
        self.table._default_manager.bulk_create(self.fresh, batch_size=BATCH)


def unhide(table: Table, site_ids: Iterable[UUID | None]) -> int | None:
    """Show the rows of sites again whose group has grown enough.

    Returns the first release that they stood in, if there were any.
    """
    rows = table.objects.filter(hidden=True, site_id__in=list(site_ids))
    first: int | None = rows.aggregate(first=Min("since_release"))["first"]
    rows.update(hidden=False)
    return first
