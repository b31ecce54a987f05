"""Trials and the confusion matrix over all groups, for reviewers."""

import pytest

from surveys.people.models import Participant
from tests.api.holders import holder_of, partner
from tests.factories.calibration import CalibrationLineFactory
from tests.factories.private import (
    CountFactory,
    DeterminationFactory,
    ParticipantFactory,
    PhaseFactory,
    PitFactory,
    ReviewerFactory,
    ReviewFactory,
    VisitFactory,
    loaded,
)
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

TRIALS = "/api/v1/review/calibrations/results"
CONFUSION = "/api/v1/review/confusion"


@pytest.fixture
def reviewer(db: None) -> Actor:  # noqa: ARG001 -- the database is needed
    """Return a reviewer who records nothing."""
    return holder_of(ReviewerFactory.create(code="V1"), "review")


def verify(recorder: Participant, *numbers: int) -> None:
    """Add verified pits of 4 epigeic adults each, which a reviewer determined as these numbers."""
    for number in numbers:
        visit = VisitFactory.create(participant=recorder, state="accepted")
        ReviewFactory.create(visit=visit)
        phase = PhaseFactory.create(pit=PitFactory.create(visit=visit))
        epigeic = CountFactory.create(phase=phase, group="epigeic", number=4)
        anecic = CountFactory.create(phase=phase, group="anecic", number=0)
        DeterminationFactory.create(count=epigeic, number=number)
        DeterminationFactory.create(count=anecic, number=4 - number)


def test_trials_of_all_groups_are_pooled_by_protocol_and_step(reviewer: Actor) -> None:
    CalibrationLineFactory.create(known=10, observed=4)
    CalibrationLineFactory.create(known=10, observed=10)

    (row,) = reviewer.get(f"{TRIALS}?protocol=contrast-pit/2").json()["data"]

    assert (row["protocol"], row["step"], row["n_lines"]) == ("contrast-pit/2", "hand_sort", 2)
    assert (row["hits"], row["n"]) == (14, 20)
    assert row["lower"] < row["share"] < row["upper"]


def test_confusion_holds_recorded_against_verified_groups_by_stage(reviewer: Actor) -> None:
    verify(ParticipantFactory.create(), 4, 4, 4)
    verify(ParticipantFactory.create(), 4, 1)

    answer = reviewer.get(CONFUSION).json()

    everything, adults = answer["data"]
    assert answer["n_verified_pits"] == 5
    assert (everything["stage"], adults["stage"]) == ("all", "adult")
    assert everything["confusion"]["anecic"]["epigeic"] == 3
    assert (everything["agreed"]["hits"], everything["agreed"]["n"]) == (17, 20)
    assert everything["kappa"]["n"] == 20
    assert "17 of 20" in answer["sentence"]


def test_confusion_tells_that_few_pits_are_determined_anew(reviewer: Actor) -> None:
    verify(ParticipantFactory.create(), 4, 1)
    for _ in range(5):
        visit = VisitFactory.create(state="accepted")
        ReviewFactory.create(visit=visit)
        CountFactory.create(phase=PhaseFactory.create(pit=PitFactory.create(visit=visit)))

    answer = reviewer.get(CONFUSION).json()

    assert (answer["n_verified_pits"], answer["n_pits_determined"]) == (7, 2)
    assert "overstated" in answer["reading"]


def test_confusion_says_not_enough_below_five_pits(reviewer: Actor) -> None:
    verify(ParticipantFactory.create(), 4, 4, 4, 1)

    answer = reviewer.get(CONFUSION).json()

    assert (answer["n_verified_pits"], answer["needed"], answer["data"]) == (4, 5, [])
    assert "not enough yet" in answer["sentence"]


def test_confusion_of_another_protocol_is_apart(reviewer: Actor) -> None:
    verify(ParticipantFactory.create(), 4, 4, 4, 4, 1)
    loaded("school-pit/1")

    own = reviewer.get(f"{CONFUSION}?protocol=contrast-pit/2").json()
    other = reviewer.get(f"{CONFUSION}?protocol=school-pit/1").json()

    assert (own["n_verified_pits"], other["n_verified_pits"]) == (5, 0)


@pytest.mark.parametrize("address", [TRIALS, CONFUSION])
def test_only_reviewers_read_and_only_known_parameters(reviewer: Actor, address: str) -> None:
    _, group = partner()

    assert group.get(address).status_code == 403
    assert Actor().get(address).status_code == 401
    assert reviewer.get(f"{address}?protocol=no-such/1").status_code == 400
    assert reviewer.get(f"{address}?recorder=QVD-07").status_code == 400
