"""Open and close row versions so that a release differs from the last where the data do."""

from typing import Any

from django.db.models import QuerySet

from portal.records.models import (
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    Tombstone,
)

BATCH = 500
_BOOKKEEPING = {
    *("row", "since_release", "until_release", "hidden", "modified_at"),
    *("document", "degree_cell"),  # made of the other columns
}
Span = tuple[int, int | None]
Table = type[PublishedVisit] | type[PublishedPit] | type[PublishedCount]


class IdWithdrawn(Exception):  # noqa: N818 -- reads as what happened
    """A row would be published under an id that was withdrawn; ids never come back."""


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
        """Close the versions that changed or are gone, and open the new ones.

        Raises
        ------
        IdWithdrawn
            If a new one has an id that was withdrawn.
        """
        self._refuse_withdrawn()
        self.closing += [row.row for row in self.current.values()]
        for start in range(0, len(self.closing), BATCH):
            rows = self.closing[start : start + BATCH]
            self.table.objects.filter(row__in=rows).update(until_release=self.release.number)
        self.fresh.sort(key=lambda row: row.id.bytes)
        self.table._default_manager.bulk_create(self.fresh, batch_size=BATCH)

    def _refuse_withdrawn(self) -> None:
        for start in range(0, len(self.fresh), BATCH):
            ids = [row.id for row in self.fresh[start : start + BATCH]]
            stone = Tombstone.objects.filter(id__in=ids).first()
            if stone is not None:
                msg = f"The {stone.kind} {stone.id} was withdrawn and cannot be published again."
                raise IdWithdrawn(msg)


def spans_of(rows: QuerySet[Any]) -> set[Span]:
    """Return the spans of releases, first and first no more, that row versions stand in."""
    return set(rows.values_list("since_release", "until_release").distinct())


def releases_in(spans: set[Span]) -> list[Release]:
    """Return the releases that any of the spans covers, oldest first."""
    return [
        release
        for release in Release.objects.order_by("number")
        if any(
            since <= release.number and (until is None or release.number < until)
            for since, until in spans
        )
    ]
