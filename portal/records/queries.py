"""Questions to the published tables that span more than one filter."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Max

from portal.records.models import (
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    Tombstone,
)

TABLES: dict[str, type[PublishedVisit] | type[PublishedPit] | type[PublishedCount]] = {
    "visits": PublishedVisit,
    "pits": PublishedPit,
    "counts": PublishedCount,
}
KINDS = {"visits": "visit", "pits": "pit", "counts": "occurrence"}


@dataclass(frozen=True)
class Changes:
    """Ids that a release added, changed and took out, in one table; each in order of id."""

    added: list[UUID]
    changed: list[UUID]
    removed: list[UUID]


def current_release() -> Release | None:
    """Return the newest release, or nothing before the first."""
    return Release.objects.order_by("-number").first()


def build_of(release: Release) -> int:
    """Return the newest build of a release: it moves when rows are withdrawn from it."""
    return release.files.aggregate(newest=Max("build"))["newest"] or 0


def changes_of(release: int, collection: str) -> Changes:
    """Return what a release changed against the one before it."""
    rows = TABLES[collection].objects.filter(hidden=False)
    opened = set(rows.filter(since_release=release).values_list("id", flat=True))
    closed = set(rows.filter(until_release=release).values_list("id", flat=True))
    return Changes(
        added=sorted(opened - closed),
        changed=sorted(opened & closed),
        removed=sorted(closed - opened),
    )


def withdrawn_from(release: int) -> list[Tombstone]:
    """Return the tombstones of records that once stood in a release."""
    return list(Tombstone.objects.filter(first_release__lte=release, last_release__gte=release))


def rows_of(release: int) -> dict[str, int]:
    """Return the number of rows of each table in a release."""
    return {name: table.objects.at(release).count() for name, table in TABLES.items()}
