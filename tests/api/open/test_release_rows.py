"""No open answer holds a row that its release does not hold."""

from typing import Any
from uuid import UUID

import pytest
from django.core.cache import cache
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, Release
from tests.api.answers import bytes_of
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    pit_of,
)
from tests.journeys.actors import Actor

NEWEST = 3
# since, until (none: still open), hidden
VERSIONS = st.tuples(
    st.integers(1, NEWEST + 1), st.none() | st.integers(2, NEWEST + 2), st.booleans()
).filter(lambda version: version[1] is None or version[1] > version[0])
COLLECTIONS = ("visits", "pits", "counts", "occurrences")
FORMATS = (
    *("f=json&limit=1000", "f=geojson&limit=1000", "f=csv", "f=ndjson"),
    *("f=csv&limit=all", "f=ndjson&limit=all"),
)


def make(version: tuple[int, int | None, bool]) -> tuple[UUID, UUID, UUID]:
    since, until, hidden = version
    columns = {"since_release": since, "until_release": until, "hidden": hidden}
    visit = PublishedVisitFactory.create(**columns)
    pit = pit_of(visit)
    return visit.id, pit.id, count_of(pit).id


def stands(version: tuple[int, int | None, bool], release: int) -> bool:
    """Tell whether a version is of a release: in plain words, apart from the code under test."""
    since, until, hidden = version
    return since <= release and (until is None or release < until) and not hidden


@given(versions=st.lists(VERSIONS, min_size=1, max_size=5), release=st.integers(1, NEWEST))
@settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@pytest.mark.django_db
def test_lists_hold_the_rows_of_their_release_and_no_other(
    reader: Actor, versions: list[Any], release: int
) -> None:
    cache.clear()  # the limit of requests is not the matter here
    with transaction.atomic():
        for number in range(1, NEWEST + 1):
            ReleaseFactory.create(number=number)
        made = [(version, make(version)) for version in versions]

        for place, collection in enumerate((*COLLECTIONS[:3], "occurrences")):
            for form in FORMATS:
                answer = reader.get(f"/api/v1/{collection}?release={release}&{form}")
                said = bytes_of(answer).decode()
                for version, ids in made:
                    shown = str(ids[min(place, 2)]) in said
                    assert shown is stands(version, release), (collection, form, version)
        transaction.set_rollback(True)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "version",
    [(1, None, True), (1, 2, False), (4, None, False)],
    ids=["hidden", "closed", "future"],
)
@pytest.mark.parametrize("release", ["", "?release=3"])
def test_no_address_leads_to_a_row_of_another_state(
    reader: Actor, version: tuple[int, int | None, bool], release: str
) -> None:
    for number in range(1, NEWEST + 1):
        ReleaseFactory.create(number=number)
    ids = make(version)

    for collection, record in zip(COLLECTIONS, ids, strict=False):
        assert reader.get(f"/api/v1/{collection}/{record}{release}").status_code == 404
    for address in ("summary", "comparison?first=lawn&second=bog", "agreement", "planning/where"):
        joint = release.replace("?", "&") if "?" in address else release
        said = bytes_of(reader.get(f"/api/v1/{address}{joint}")).decode()
        assert not any(str(record) in said for record in ids)
    empty = reader.get(f"/api/v1/summary{release}").json()
    assert empty["data"] == []
    assert sum(empty["pits_left_out"].values()) == 0


@pytest.mark.django_db
def test_tables_are_read_through_their_release_alone() -> None:
    ReleaseFactory.create(number=1)

    for table in (PublishedVisit, PublishedPit, PublishedCount):
        asked = str(table.objects.at(Release.objects.get().number).query)
        for column in ("since_release", "until_release", "hidden"):
            assert column in asked.partition("WHERE")[2]
