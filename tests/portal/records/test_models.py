"""What the database itself refuses in the public tables."""

from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from portal.records.models import OpenedCell, PublishedVisit, Release, ReleaseFile, Tombstone
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
)

FACTORIES = [PublishedVisitFactory, PublishedPitFactory, PublishedCountFactory]
REFUSED: list[dict[str, Any]] = [
    {"latitude": 90.1},
    {"longitude": -180.1},
    {"latitude": None},
    {"longitude": None},
    {"latitude": None, "longitude": None},
    {"uncertainty_m": None},
    {"uncertainty_m": 0},
    {"since_release": 2, "until_release": 2},
    {"since_release": 2, "until_release": 1},
    {"people_digging": -1},
]

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("factory", FACTORIES)
@pytest.mark.parametrize("columns", REFUSED, ids=str)
def test_row_that_cannot_be_is_refused(factory: Any, columns: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        factory.create(**columns)


@pytest.mark.parametrize("factory", FACTORIES)
def test_row_has_one_open_version_and_one_a_release(factory: Any) -> None:
    row_id = uuid4()
    factory.create(id=row_id, until_release=2)
    factory.create(id=row_id, since_release=2)

    for twice in ({"since_release": 3}, {"since_release": 1, "until_release": 3}):
        with pytest.raises(IntegrityError), transaction.atomic():
            factory.create(id=row_id, **twice)


@pytest.mark.parametrize(
    "columns",
    [
        {"state": "counted", "number": None},
        {"state": "not_entered", "number": 0},
        {"state": "not_looked_for", "number": 3},
        {"number": -1},
    ],
    ids=str,
)
def test_count_has_a_number_if_and_only_if_it_was_counted(columns: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        PublishedCountFactory.create(**columns)


def test_releases_are_numbered_from_one() -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        ReleaseFactory.create(number=0)


def test_release_with_files_or_cells_cannot_be_deleted() -> None:
    release = ReleaseFactory.create(number=1)
    OpenedCell.objects.create(place_class="farm", cell="1|52|-1", release=release)

    with pytest.raises(IntegrityError, match=r"protected|referenced"):
        release.delete()
    assert Release.objects.exists()


def test_rows_name_themselves() -> None:
    visit = PublishedVisitFactory.create(since_release=3)
    release = ReleaseFactory.create(number=3)
    stone = Tombstone(id=visit.id, kind="visit")

    assert str(visit) == f"{visit.id} since 3"
    assert str(release) == "release 3"
    assert str(stone) == f"visit {visit.id}"
    assert str(OpenedCell(place_class="farm", cell="1|52|-1")) == "farm 1|52|-1"
    assert str(ReleaseFile(release=release, build=2, name="a.zip")) == "3/2/a.zip"
    assert ReleaseFile(release=release, build=2, name="a.zip").storage_name == (
        "releases/3/2/a.zip"
    )
    assert PublishedVisit.objects.get() == visit
