"""Recorded against verified numbers of a release, by group."""

import pytest

from tests.factories.published import PublishedCountFactory, ReleaseFactory
from tests.journeys.actors import Actor

ADDRESS = "/api/v1/agreement"

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def release(db: None) -> None:  # noqa: ARG001 -- the database is needed
    """Make the release that the rows stand in."""
    ReleaseFactory.create(
        number=1, protocols=[{"key": "contrast-pit", "version": "2", "comparable_with": []}]
    )


def pits(*numbers: tuple[int, int]) -> None:
    """Publish a pit with one line for each recorded and verified number."""
    for recorded, verified in numbers:
        PublishedCountFactory.create(
            number_recorded=recorded,
            number=verified,
            verification="plausibility checked"
            if recorded == verified
            else "verified by specialist",
        )


def test_agreement_tells_what_can_have_kept_its_group(reader: Actor) -> None:
    pits((2, 2), (2, 2), (2, 2), (2, 1), (2, 0), (0, 3))

    body = reader.get(f"{ADDRESS}?protocol=contrast-pit/2").json()

    (row,) = body["data"]
    assert (row["n_recorded"], row["n_verified"], row["n_kept"]) == (10, 10, 7)
    # Wilson limits of 7 in 10 worked by hand from the formula of Wilson 1927, z = 1.96
    assert (row["lower"], row["upper"]) == pytest.approx((0.3968, 0.8922), abs=5e-4)
    assert (body["n_pits"], body["n_pits_determined"]) == (6, 3)
    assert "at most 7 of 10" in body["sentence"]
    assert "not labels animal by animal" in body["can_tell"]


def test_agreement_is_silent_below_five_pits(reader: Actor) -> None:
    pits((9, 9), (9, 9), (9, 9), (9, 9))

    body = reader.get(ADDRESS).json()

    assert (body["n_pits"], body["data"]) == (4, [])
    assert "not enough yet" in body["sentence"]


def test_agreement_of_few_animals_has_no_share(reader: Actor) -> None:
    pits((1, 1), (1, 1), (1, 1), (1, 1), (0, 0))

    (row,) = reader.get(ADDRESS).json()["data"]

    assert (row["n_recorded"], row["share"], row["lower"]) == (4, None, None)


@pytest.mark.parametrize("query", ["protocol=no-such/1", "habitat=lawn", "f=csv"])
def test_agreement_takes_release_and_protocol_only(reader: Actor, query: str) -> None:
    assert reader.get(f"{ADDRESS}?{query}").status_code == 400
