"""Check 25: every file of a release comes out the same when it is built again much later.

That downloads stay and that releases link to each other is seen in test_immutability.py.
"""

import hashlib

import pytest
from pytest_django import Settings

from portal.archive.release_files import FILE_KINDS
from portal.publication.files import build_files, retire_files
from portal.records.models import Release, ReleaseFile
from surveys.visits.models import Count, Visit
from tests.api.answers import bytes_of
from tests.journeys.actors import Actor
from tests.portal.publication.villages import FIRST_AT, household, release, village, village_group

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def with_data_package(settings: Settings) -> None:
    """Build every kind of file."""
    settings.DATA_PACKAGE = True


@pytest.fixture
def first() -> Release:
    """Return a release of a village, after which everything about the village was changed."""
    group = village_group()
    homes = village(group, range(6))
    made = release(1)
    Visit.objects.update(people_digging=9)
    Visit.objects.filter(pk=homes[1].visit.pk).update(state="in_review")
    Count.objects.update(number=31)
    household(group, 6)
    return made


def checksums(made: Release) -> dict[str, str]:
    return {file.name: file.sha256 for file in made.files.filter(gone_at__isnull=True)}


def served(made: Release) -> dict[str, str]:
    """Return the checksum of what is handed out, by name."""
    files = ReleaseFile.objects.filter(release=made, gone_at__isnull=True)
    addresses = {file.name: f"/files/{made.number}/{file.build}/{file.name}" for file in files}
    return {
        name: hashlib.sha256(bytes_of(Actor().get(address))).hexdigest()
        for name, address in addresses.items()
    }


def test_files_of_a_release_are_the_same_when_built_again_later(first: Release) -> None:
    before = checksums(first)
    second = release(2)
    assert set(before) == {kind.name for kind in FILE_KINDS}
    assert all(checksums(second)[name] != before[name] for name in before)

    retire_files(first, at=FIRST_AT)
    build_files(first, at=FIRST_AT)

    assert checksums(first) == served(first) == before
