"""Which releases and files a catalogue lists."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from portal.catalogue.entries import changed_at, entries, entry_of, standing_files
from portal.publication.files import build_files, retire_files
from portal.records.models import Release
from portal.records.queries import TABLES
from tests.factories.published import ReleaseFactory, small_release

AT = datetime(2025, 7, 1, 9, tzinfo=UTC)
LATER = AT + timedelta(days=1)

pytestmark = pytest.mark.django_db


def test_entries_are_the_releases_newest_first() -> None:
    assert entries() == []
    for number in (1, 2, 3):
        ReleaseFactory.create(number=number)

    assert [entry.metadata.release_number for entry in entries()] == [3, 2, 1]


def test_files_are_those_of_the_newest_build_the_archive_first() -> None:
    release = small_release().release
    build_files(release, at=AT)
    retire_files(release, at=LATER)
    newer = build_files(release, at=LATER)

    entry = entry_of(release)

    assert entry.files[0].name == "archive.zip"
    assert {file.pk for file in entry.files} == {file.pk for file in newer}
    assert entry.changed_at == LATER


def test_release_whose_files_are_gone_has_none() -> None:
    release = small_release().release
    build_files(release, at=AT)
    retire_files(release, at=LATER)

    assert standing_files(release) == []


@pytest.mark.parametrize(
    ("doi_set_at", "changed"), [(None, AT), (LATER, LATER), (AT - timedelta(days=900), AT)]
)
def test_change_is_the_last_of_issue_build_and_doi(
    doi_set_at: datetime | None, changed: datetime
) -> None:
    release = small_release().release
    build_files(release, at=AT)
    doi = "10.5555/x" if doi_set_at else ""

    Release.objects.update(doi=doi, doi_set_at=doi_set_at)

    assert changed_at(Release.objects.get()) == changed


def test_figures_are_computed_once_for_the_same_files() -> None:
    release = small_release().release
    build_files(release, at=AT)
    first = entry_of(release)

    with CaptureQueriesContext(connection) as captured:
        again = entry_of(release)

    assert again == first
    asked = " ".join(query["sql"] for query in captured.captured_queries)
    assert "portal_releasefile" in asked
    assert "portal_published" not in asked


def test_figures_follow_the_files() -> None:
    small = small_release()
    build_files(small.release, at=AT)
    before = entry_of(small.release).metadata

    school = small.visits[1]
    for table in TABLES.values():
        table.objects.filter(visit_id=school.visit_id).update(hidden=True)
    build_files(small.release, at=LATER)
    after = entry_of(small.release).metadata

    assert (before.rows["visits"], after.rows["visits"]) == (2, 1)
    assert before.coverage.box != after.coverage.box
