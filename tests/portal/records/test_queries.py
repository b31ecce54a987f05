"""Questions to the published tables."""

from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import pytest

from portal.records.models import PublishedVisit, ReleaseFile
from portal.records.queries import (
    build_of,
    current_release,
    rows_of,
    withdrawn_from,
)
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    TombstoneFactory,
    small_release,
)

pytestmark = pytest.mark.django_db


def lives(*spans: tuple[int, int | None], hidden: bool = False) -> Any:
    """Make the versions of one visit; return its id."""
    visit_id = uuid4()
    for since, until in spans:
        PublishedVisitFactory.create(
            id=visit_id, since_release=since, until_release=until, hidden=hidden
        )
    return visit_id


@pytest.mark.parametrize(
    ("since", "until", "shown"),
    [
        (1, None, [1, 2, 3]),
        (1, 2, [1]),
        (1, 3, [1, 2]),
        (2, 3, [2]),
        (2, None, [2, 3]),
        (3, None, [3]),
        (4, None, []),
    ],
)
def test_version_is_visible_from_its_first_release_to_before_its_last(
    since: int, until: int | None, shown: list[int]
) -> None:
    lives((since, until))

    assert [n for n in (1, 2, 3) if PublishedVisit.objects.at(n).exists()] == shown


def test_hidden_version_is_visible_nowhere_but_still_current() -> None:
    lives((1, None), hidden=True)

    assert not PublishedVisit.objects.at(1).exists()
    assert PublishedVisit.objects.current().count() == 1


def test_current_release_is_the_newest() -> None:
    assert current_release() is None

    for number in (2, 10, 9):
        ReleaseFactory.create(number=number)

    newest = current_release()
    assert newest is not None
    assert newest.number == 10


def test_build_is_the_newest_of_the_release() -> None:
    release, other = ReleaseFactory.create(number=1), ReleaseFactory.create(number=2)
    at = datetime(2025, 6, 30, tzinfo=UTC)
    for build, of in ((1, release), (2, release), (9, other)):
        ReleaseFile.objects.create(
            release=of, build=build, name="a", media_type="b", size_bytes=1, sha256="", built_at=at
        )

    assert build_of(release) == 2
    assert build_of(ReleaseFactory.create(number=3)) == 0


@pytest.mark.parametrize(("number", "found"), [(1, 0), (2, 1), (4, 1), (5, 0)])
def test_withdrawn_records_are_told_of_the_releases_that_held_them(number: int, found: int) -> None:
    TombstoneFactory.create(first_release=2, last_release=4)

    assert len(withdrawn_from(number)) == found


def test_rows_are_counted_by_table() -> None:
    small_release()

    assert rows_of(1) == {"visits": 2, "pits": 4, "counts": 32}
    assert rows_of(2) == {"visits": 2, "pits": 4, "counts": 32}
    assert rows_of(0) == {"visits": 0, "pits": 0, "counts": 0}
