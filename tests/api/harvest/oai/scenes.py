"""Releases that come, are built again and are withdrawn, and how a harvester asks about them."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from django.test import Client
from lxml import etree

from portal.records.models import (
    ChangeEntry,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, count_of, pit_of

OAI = "{http://www.openarchives.org/OAI/2.0/}"
START = datetime(2025, 6, 1, 9, 30, 15, 250_000, tzinfo=UTC)


def day(number: int) -> datetime:
    """Return an instant of a day, the first being that of release 1."""
    return START + timedelta(days=number - 1)


def issue(number: int, at: datetime | None = None) -> Release:
    """Make a release with one visit that stands in it alone, and with the files of its build."""
    release: Release = ReleaseFactory.create(number=number, issued_at=at or day(number))
    visit = PublishedVisitFactory.create(since_release=number, until_release=number + 1)
    count_of(pit_of(visit))
    build(number, at or day(number))
    return release


def build(number: int, at: datetime) -> None:
    """Build the files of a release again."""
    files = ReleaseFile.objects.filter(release=number)
    builds = files.values("build").distinct().count()
    files.filter(gone_at__isnull=True).update(gone_at=at)
    for name, media_type in (("archive.zip", "application/zip"), ("counts.csv", "text/csv; h=1")):
        ReleaseFile.objects.create(
            release_id=number,
            build=builds + 1,
            name=name,
            media_type=media_type,
            size_bytes=1,
            sha256="0" * 64,
            built_at=at,
        )


def lay_stone(visit_id: UUID, number: int, at: datetime) -> None:
    """Leave the tombstone of a visit that stood in one release."""
    entry = ChangeEntry.objects.create(number=ChangeEntry.objects.count() + 1, at=at)
    Tombstone.objects.create(
        id=visit_id,
        kind="visit",
        withdrawn_on=at.date(),
        reason_class="erasure",
        first_release=number,
        last_release=number,
        entry=entry,
    )


def withdraw(number: int, at: datetime) -> None:
    """Take every visit out of a release, as a withdrawal does."""
    for visit in PublishedVisit.objects.filter(since_release=number):
        lay_stone(visit.id, number, at)
    for table in (PublishedVisit, PublishedPit, PublishedCount):
        table.objects.filter(since_release=number).delete()
    build(number, at)


def ask(query: str) -> Any:
    """Return the root of the answer to a query such as ``verb=Identify``."""
    return read(Client().get(f"/oai?{query}"))


def read(response: Any) -> Any:
    """Return the root of an answer, which is XML with status 200 whatever it says."""
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "text/xml; charset=utf-8"
    return etree.fromstring(response.content)


def error_of(root: Any) -> str:
    """Return the code of the only error of an answer."""
    (error,) = root.findall(f"{OAI}error")
    return str(error.attrib["code"])


def headers_of(root: Any) -> list[tuple[str, str, bool]]:
    """Return identifier, datestamp and whether deleted, of each header."""
    return [
        (
            header.findtext(f"{OAI}identifier"),
            header.findtext(f"{OAI}datestamp"),
            header.get("status") == "deleted",
        )
        for header in root.iter(f"{OAI}header")
    ]
