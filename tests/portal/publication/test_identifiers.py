"""The DOI of a release, by operation and by ``manage.py setdoi``."""

import io
from datetime import UTC, datetime

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction
from pytest_django import Settings

from portal.publication.files import build_files
from portal.publication.identifiers import DoiRefusedError, set_doi
from portal.records.doi import WrongDoiError
from portal.records.models import Release
from surveys.audit.models import AuditEntry
from surveys.audit.operations import first_broken_entry
from tests.factories.published import ReleaseFactory, small_release

AT = datetime(2026, 3, 1, 12, tzinfo=UTC)
DOI = "10.5555/pits-1"

pytestmark = pytest.mark.django_db


def give(release: Release, doi: str = DOI, reason: str = "") -> None:
    set_doi(release=release, doi=doi, at=AT, by="test", reason_to_replace=reason)


def test_doi_is_set_and_noted_in_the_trail() -> None:
    release = ReleaseFactory.create(number=1)

    give(release)

    stored = Release.objects.get(number=1)
    assert (stored.doi, stored.doi_set_at) == (DOI, AT)
    entry = AuditEntry.objects.get()
    assert (entry.action, entry.subject_key) == ("release DOI set", "1")
    assert entry.detail == {"doi": DOI, "before": "", "reason": ""}
    assert first_broken_entry() is None


def test_same_doi_again_changes_nothing() -> None:
    release = ReleaseFactory.create(number=1)
    give(release)

    set_doi(release=release, doi=DOI, at=AT.replace(year=2027), by="test")

    assert Release.objects.get(number=1).doi_set_at == AT
    assert AuditEntry.objects.count() == 1


def test_other_doi_needs_a_reason() -> None:
    release = ReleaseFactory.create(number=1)
    give(release)

    with pytest.raises(DoiRefusedError, match=r"has the DOI 10\.5555/pits-1; give a reason"):
        give(release, "10.5555/other")

    give(release, "10.5555/other", reason="Registered twice.")
    assert Release.objects.get(number=1).doi == "10.5555/other"
    detail = AuditEntry.objects.order_by("-id")[0].detail
    assert detail == {"doi": "10.5555/other", "before": DOI, "reason": "Registered twice."}


@pytest.mark.parametrize("doi", ["10.5555/PITS-1", DOI, "10.5555/Dataset"])
def test_doi_that_is_in_use_is_refused(doi: str, settings: Settings) -> None:
    settings.DATASET_DOI = "10.5555/dataset"
    give(ReleaseFactory.create(number=1))

    with pytest.raises(DoiRefusedError, match="of the dataset or of another release"):
        give(ReleaseFactory.create(number=2), doi)


def test_text_that_is_no_doi_is_refused() -> None:
    release = ReleaseFactory.create(number=1)

    with pytest.raises(WrongDoiError):
        give(release, "https://doi.org/10.5555/pits-1")

    assert Release.objects.get(number=1).doi == ""
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize("facts", [{"doi": DOI}, {"doi_set_at": AT}])
def test_database_refuses_a_doi_without_its_instant(facts: dict[str, object]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        ReleaseFactory.create(number=1, **facts)


def test_database_refuses_a_doi_twice() -> None:
    give(ReleaseFactory.create(number=1))

    with pytest.raises(IntegrityError), transaction.atomic():
        ReleaseFactory.create(number=2, doi=DOI, doi_set_at=AT)


def test_files_keep_their_bytes_and_later_ones_are_alike() -> None:
    release = small_release().release
    before = [file.sha256 for file in build_files(release, at=AT)]

    give(release)
    kept = list(release.files.filter(build=1).order_by("id").values_list("sha256", flat=True))
    later = [file.sha256 for file in build_files(release, at=AT)]
    once_more = [file.sha256 for file in build_files(release, at=AT.replace(year=2027))]

    assert kept == before
    assert later[0] != before[0]
    assert once_more == later


def test_command_tells_the_citation_and_that_files_stay() -> None:
    ReleaseFactory.create(number=1)
    out = io.StringIO()

    call_command("setdoi", "1", DOI, stdout=out)

    assert f"Release 1. https://doi.org/{DOI}\n" in out.getvalue()
    assert "Files that are built keep their bytes" in out.getvalue()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("9", DOI), "There is no release 9"),
        (("1", "pits"), "has the form"),
        (("1", "10.5555/new"), "give a reason"),
        (("1", "10.5555/new", "--replace", "  "), "give a reason"),
    ],
)
def test_command_refuses(arguments: tuple[str, ...], told: str) -> None:
    give(ReleaseFactory.create(number=1))

    with pytest.raises(CommandError, match=told):
        call_command("setdoi", *arguments)

    assert Release.objects.get(number=1).doi == DOI


def test_command_replaces_for_a_reason() -> None:
    give(ReleaseFactory.create(number=1))

    call_command("setdoi", "1", "10.5555/new", "--replace", "Wrong record.", stdout=io.StringIO())

    assert Release.objects.get(number=1).doi == "10.5555/new"
