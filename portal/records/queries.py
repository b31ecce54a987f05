"""Questions to the published tables that span more than one filter."""

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any

from django.db.models import Max, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from portal.records.models import (
    ChangeEntry,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)

TABLES: dict[str, type[PublishedVisit] | type[PublishedPit] | type[PublishedCount]] = {
    "visits": PublishedVisit,
    "pits": PublishedPit,
    "counts": PublishedCount,
}
KINDS = {"visits": "visit", "pits": "pit", "counts": "occurrence"}


@dataclass(frozen=True)
class Rebuild:
    """A later build of a release, and how many withdrawn records it leaves out."""

    build: int
    built_at: datetime
    withdrawn: int


def current_release() -> Release | None:
    """Return the newest release, or nothing before the first."""
    return Release.objects.order_by("-number").first()


def release_to_read(number: int | None) -> Release | None:
    """Return a release by its number, else the newest, with the number of its newest build.

    One statement, for it precedes every open answer; what is large is left until it is wanted.
    """
    releases = _releases_to_read()
    found = (releases if number is None else releases.filter(number=number)).first()
    if found is not None:
        found.newest_build = found.its_build
    return found


@cache
def _releases_to_read() -> QuerySet[Any]:
    builds = ReleaseFile.objects.filter(release=OuterRef("number")).order_by("-build")
    newest = Coalesce(Subquery(builds.values("build")[:1]), 0)
    releases = Release.objects.defer("rules", "credits", "protocols", "quality")
    return releases.annotate(its_build=newest).order_by("-number")


def build_of(release: Release) -> int:
    """Return the newest build of a release: it moves when rows are withdrawn from it."""
    return release.files.aggregate(newest=Max("build"))["newest"] or 0


def newest_entry() -> int:
    """Return the number of the newest entry of the feed of changes; 0 before the first."""
    newest: int | None = ChangeEntry.objects.aggregate(newest=Max("number"))["newest"]
    return newest or 0


def withdrawn_from(release: int) -> list[Tombstone]:
    """Return the tombstones of records that once stood in a release."""
    return list(Tombstone.objects.filter(first_release__lte=release, last_release__gte=release))


def rows_of(release: int) -> dict[str, int]:
    """Return the number of rows of each table in a release."""
    return {name: table.objects.at(release).count() for name, table in TABLES.items()}


def rebuilds_of(release: Release) -> list[Rebuild]:
    """Return every build of a release after its first, oldest first."""
    builds = release.files.filter(build__gt=1).values("build").annotate(at=Max("built_at"))
    return [
        Rebuild(
            one["build"],
            one["at"],
            Tombstone.objects.filter(
                first_release__lte=release.number,
                last_release__gte=release.number,
                entry__at__lte=one["at"],
            ).count(),
        )
        for one in builds.order_by("build")
    ]
