"""Packing of an archive."""

import io
from pathlib import Path
from zipfile import ZipFile

import pytest
from pytest_django import Settings

from portal.archive import package
from portal.archive.licences import UnknownLicenceError
from portal.archive.package import write_archive, write_occurrence_archive
from portal.archive.spool import UnknownColumnError
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    counts_of,
    pit_of,
    small_release,
)

pytestmark = pytest.mark.django_db


def test_archive_can_be_written_to_a_file(tmp_path: Path) -> None:
    small = small_release()
    path = tmp_path / "archive.zip"

    with path.open("wb") as target:
        summary = write_archive(small.release, target)

    with ZipFile(path) as packed:
        assert len(packed.read("event.txt").splitlines()) == summary.rows["event.txt"] + 1
    assert summary.rows["event.txt"] == 2 + 4 + 6  # visits, pits, steps that took place


def test_archive_of_an_old_release_keeps_to_its_rows() -> None:
    small = small_release()
    ReleaseFactory.create(number=2)
    PublishedVisitFactory.create(since_release=2)

    summary = write_archive(small.release, io.BytesIO())

    assert summary.rows["humboldt.txt"] == 12


def test_archive_under_a_licence_nobody_takes_is_not_written() -> None:
    target = io.BytesIO()

    with pytest.raises(UnknownLicenceError):
        write_archive(ReleaseFactory.create(licence_id="own terms"), target)

    assert target.getvalue() == b""


def test_row_with_a_column_too_many_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    small = small_release()
    with_a_secret = ({"locality": "behind the barn"},)
    builders = (lambda _edition, _visit: with_a_secret, *package._EVENT_BUILDERS[1:])
    monkeypatch.setattr(package, "_EVENT_BUILDERS", builders)

    with pytest.raises(UnknownColumnError, match=r"event\.txt has no column locality"):
        write_archive(small.release, io.BytesIO())


def test_archive_of_occurrences_says_how_many_pits_it_cannot_show() -> None:
    small = small_release()
    blank = pit_of(small.visits[0])
    counts_of(blank, "hand_sort", ("not_entered",) * 4)
    target = io.BytesIO()

    write_occurrence_archive(small.release, target)

    with ZipFile(target) as packed:
        metadata = packed.read("eml.xml").decode()
    assert "cannot be shown in this form: 1." in metadata
    assert "one of the two, never both" in metadata


def test_archive_of_events_has_no_word_about_pits_it_cannot_show() -> None:
    target = io.BytesIO()

    write_archive(small_release().release, target)

    with ZipFile(target) as packed:
        assert "never both" not in packed.read("eml.xml").decode()


def test_profile_is_that_of_the_installation_unless_named(settings: Settings) -> None:
    small = small_release()
    settings.DWC_PROFILE = "2026-05"
    named, set_for_all = io.BytesIO(), io.BytesIO()

    write_archive(small.release, set_for_all)
    write_archive(small.release, named, profile="2023-09")

    assert b"notDetected" in ZipFile(set_for_all).read("occurrence.txt")
    assert b"absent" in ZipFile(named).read("occurrence.txt")
