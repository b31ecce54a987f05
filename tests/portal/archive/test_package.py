"""Packing of an archive."""

import io
from pathlib import Path
from zipfile import ZipFile

import pytest

from portal.archive import package
from portal.archive.licences import UnknownLicenceError
from portal.archive.package import UnknownColumnError, write_archive
from portal.archive.terms import EVENT
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, small_release

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
    rows_with_a_secret = {EVENT: lambda _edition, _visit: iter([{"locality": "behind the barn"}])}
    monkeypatch.setattr(package, "_BUILDERS", package._BUILDERS | rows_with_a_secret)

    with pytest.raises(UnknownColumnError, match=r"event\.txt has no column locality"):
        write_archive(small.release, io.BytesIO())
