"""Every file of a build: written, served, retired together."""

import hashlib
import io
from datetime import UTC, datetime
from typing import Any
from zipfile import ZipFile

import pyarrow.parquet as pq
import pytest
from pytest_django import Settings

from portal.archive.release_files import DATA_PACKAGE, PARQUET_TYPE, kinds_to_build
from portal.publication.files import build_files, retire_files
from portal.records.models import Release
from tests.api.answers import bytes_of
from tests.factories.published import SmallRelease, small_release
from tests.journeys.actors import Actor
from tests.portal.publication.villages import release, village, village_group

pytestmark = pytest.mark.django_db

AT = datetime(2025, 7, 1, 9, tzinfo=UTC)
NAMES = [
    "archive.zip",
    "flat-archive.zip",
    "visits.parquet",
    "pits.parquet",
    "counts.parquet",
    "visits.csv",
    "pits.csv",
    "counts.csv",
]


@pytest.fixture
def small() -> SmallRelease:
    made = small_release()
    build_files(made.release, at=AT)
    return made


def addresses(release: Release) -> list[str]:
    """Return the addresses of all files of a release, the newest build first."""
    files = Actor().get(f"/api/v1/releases/{release.number}").json()["files"]
    return [file["href"] for file in files]


def fetch(address: str) -> tuple[Any, bytes]:
    """Return an answer and all its bytes."""
    answer = Actor().get(address)
    return answer, bytes_of(answer)


def test_build_has_every_file_under_one_number(small: SmallRelease) -> None:
    again = build_files(small.release, at=AT)

    assert [kind.name for kind in kinds_to_build()] == NAMES
    assert [(file.build, file.name) for file in again] == [(2, name) for name in NAMES]
    assert small.release.files.filter(build=1).count() == len(NAMES)


def test_each_file_is_served_with_its_type_size_and_checksum(small: SmallRelease) -> None:
    for file in small.release.files.all():
        answer, content = fetch(f"/files/1/1/{file.name}")

        assert answer.headers["Content-Type"] == file.media_type
        assert answer.headers["Content-Length"] == str(len(content)) == str(file.size_bytes)
        assert hashlib.sha256(content).hexdigest() == file.sha256


def test_served_parquet_is_readable_and_says_its_rows(small: SmallRelease) -> None:
    file = small.release.files.get(name="counts.parquet")

    table = pq.read_table(io.BytesIO(fetch("/files/1/1/counts.parquet")[1]))

    assert file.media_type == PARQUET_TYPE
    assert file.rows == {"counts": table.num_rows} == {"counts": len(small.counts)}


def test_a_retired_build_is_gone_with_all_its_files(small: SmallRelease) -> None:
    old = addresses(small.release)

    retire_files(small.release, at=AT)
    build_files(small.release, at=AT)

    assert {fetch(address)[0].status_code for address in old} == {410}
    assert len(addresses(small.release)) == 2 * len(NAMES)
    assert {fetch(f"/files/1/2/{name}")[0].status_code for name in NAMES} == {200}


def test_a_data_package_is_built_served_and_retired_with_the_rest(settings: Settings) -> None:
    settings.DATA_PACKAGE = True
    made = small_release()
    build_files(made.release, at=AT)
    (old,) = [href for href in addresses(made.release) if href.endswith(DATA_PACKAGE)]
    assert fetch(old)[0].headers["Content-Type"] == "application/zip"

    retire_files(made.release, at=AT)

    assert fetch(old)[0].status_code == 410


def test_a_release_can_be_made_in_the_newer_profile(settings: Settings) -> None:
    settings.DWC_PROFILE = "2026-05"
    village(village_group(), range(6))

    made = release(1)

    content = fetch(f"/files/{made.number}/1/archive.zip")[1]
    with ZipFile(io.BytesIO(content)) as packed:
        assert b"\tdetected\t" in packed.read("occurrence.txt")


def test_the_release_page_lists_the_files_that_stand(small: SmallRelease) -> None:
    retire_files(small.release, at=AT)
    assert "being rebuilt" in Actor().get("/releases/1").content.decode()

    build_files(small.release, at=AT)

    page = Actor().get("/releases/1").content.decode()
    assert [name for name in NAMES if f'href="/files/1/2/{name}"' in page] == NAMES
    assert "/files/1/1/" not in page
    assert "Counts as Parquet" in page


def test_the_home_page_leads_to_the_archive(small: SmallRelease) -> None:
    build_files(small.release, at=AT)

    assert 'href="/files/1/2/archive.zip"' in Actor().get("/").content.decode()
