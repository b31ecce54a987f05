"""A participant's reliability is for the person, through the own group only."""

import pytest

from surveys.people.models import Group, Participant
from tests.api.holders import ALL_OF_A_GROUP, holder_of, partner
from tests.factories.private import (
    CountFactory,
    DeterminationFactory,
    GroupFactory,
    PhaseFactory,
    PitFactory,
    ReviewFactory,
    VisitFactory,
)
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

ADDRESS = "/api/v1/partner/participants/QVD-07/reliability"


def verify(recorder: Participant, *numbers: int) -> None:
    """Add verified pits of 4 epigeic adults each, which a reviewer determined as these numbers."""
    for number in numbers:
        visit = VisitFactory.create(participant=recorder, state="accepted")
        ReviewFactory.create(visit=visit)
        phase = PhaseFactory.create(pit=PitFactory.create(visit=visit))
        epigeic = CountFactory.create(phase=phase, group="epigeic", number=4)
        anecic = CountFactory.create(phase=phase, group="anecic", number=0)
        if number != 4:
            DeterminationFactory.create(count=epigeic, number=number)
            DeterminationFactory.create(count=anecic, number=4 - number)


def test_reliability_is_told_with_interval_once_five_pits_are_verified() -> None:
    group, caller = partner()
    verify(group.participants.get(), 4, 4, 4, 4, 1)

    answer = caller.get(ADDRESS).json()

    assert (answer["participant"], answer["n_verified_pits"]) == ("QVD-07", 5)
    assert (answer["right"]["hits"], answer["right"]["n"]) == (4, 5)
    assert answer["right"]["lower"] < 0.8 < answer["right"]["upper"]
    assert answer["band"] == "mixed"
    assert answer["confusion"]["anecic"]["epigeic"] == 3
    assert answer["confusion"]["epigeic"]["epigeic"] == 17
    assert "never published" in answer["for_whom"]


def test_not_enough_yet_says_nothing_else() -> None:
    group, caller = partner()
    verify(group.participants.get(), 4, 4, 4, 1)

    answer = caller.get(ADDRESS).json()

    assert (answer["n_verified_pits"], answer["needed"]) == (4, 5)
    assert answer["band"] == "not enough yet"
    assert (answer["right"], answer["confusion"], answer["not_attributable"]) == (None, None, None)


def test_reliability_is_not_told_to_others() -> None:
    group, caller = partner()
    verify(group.participants.get(), 4, 4, 4, 4, 4)
    other: Group = GroupFactory.create(code="OPL")

    assert caller.get(ADDRESS).headers["Cache-Control"] == "private, no-store"
    assert holder_of(other, *ALL_OF_A_GROUP).get(ADDRESS).status_code == 404
    assert holder_of(group, "submit").get(ADDRESS).status_code == 403
    assert Actor().get(ADDRESS).status_code == 401
    assert caller.get(ADDRESS.replace("QVD-07", "QVD-99")).status_code == 404
    assert caller.get(f"{ADDRESS}?all=true").status_code == 400
