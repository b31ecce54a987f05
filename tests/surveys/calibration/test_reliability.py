"""How verified pits stood."""

import pytest

from surveys.calibration.reliability import verified, verified_pits
from surveys.people.models import Participant
from surveys.visits.models import Visit
from tests.factories.private import (
    CountFactory,
    DeterminationFactory,
    ParticipantFactory,
    PhaseFactory,
    PitFactory,
    ReviewFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def recorder() -> Participant:
    made: Participant = ParticipantFactory.create(code="QVD-07")
    return made


def visit_of(recorder: Participant, state: str = "accepted") -> Visit:
    visit: Visit = VisitFactory.create(participant=recorder, state=state)
    if state == "accepted":
        ReviewFactory.create(visit=visit)
    return visit


def pit_of(visit: Visit, **determined: int) -> None:
    """Add a pit of 4 epigeic and 3 endogeic adults; ``determined`` are later numbers by group."""
    number = visit.pits.count() + 1
    phase = PhaseFactory.create(pit=PitFactory.create(visit=visit, number=number))
    for group, written in {"epigeic": 4, "endogeic": 3, "anecic": 0}.items():
        count = CountFactory.create(phase=phase, group=group, number=written)
        if group in determined:
            DeterminationFactory.create(count=count, number=determined[group])


def test_nothing_is_said_below_five_verified_pits(recorder: Participant) -> None:
    for _ in range(4):
        pit_of(visit_of(recorder))

    found = verified(recorder)

    assert (found.reliability.n_verified, found.reliability.band) == (4, "not enough yet")
    assert found.reliability.right is None


def test_pits_that_stood_are_right_and_changed_ones_are_not(recorder: Participant) -> None:
    for _ in range(4):
        pit_of(visit_of(recorder))
    pit_of(visit_of(recorder), epigeic=1, anecic=3)
    pit_of(visit_of(recorder), epigeic=4)  # looked at again, and found as written

    found = verified(recorder)

    assert found.reliability.right is not None
    assert (found.reliability.right.hits, found.reliability.right.n) == (5, 6)
    assert found.confusion["anecic"]["epigeic"] == 3
    assert found.confusion["epigeic"]["epigeic"] == 5 * 4 + 1
    assert found.confusion["endogeic"]["endogeic"] == 6 * 3
    assert found.moves.not_attributable == 0


def test_pits_that_nobody_verified_do_not_count(recorder: Participant) -> None:
    for state in ("in_review", "asked_back", "declined"):
        pit_of(visit_of(recorder, state))
    VisitFactory.create(participant=recorder, state="accepted")  # no decision stands behind it

    assert list(verified_pits(recorder)) == []


def test_a_determined_pit_counts_before_its_visit_is_accepted(recorder: Participant) -> None:
    pit_of(visit_of(recorder, "in_review"), epigeic=1)

    assert verified(recorder).reliability.n_verified == 1


def test_a_withdrawn_visit_does_not_count(recorder: Participant) -> None:
    pit_of(visit_of(recorder, "withdrawn"), epigeic=1)

    assert verified(recorder).reliability.n_verified == 0


def test_a_decision_on_an_earlier_revision_does_not_verify_the_newest(
    recorder: Participant,
) -> None:
    visit = visit_of(recorder)
    pit_of(visit)
    visit.revision = 2
    visit.save()
    PitFactory.create(visit=visit, number=1)

    assert list(verified_pits(recorder)) == []


def test_a_pit_counts_once_however_often_it_was_determined(recorder: Participant) -> None:
    visit = visit_of(recorder)
    ReviewFactory.create(visit=visit)
    pit_of(visit, epigeic=3, endogeic=2, anecic=2)

    assert verified(recorder).reliability.n_verified == 1


def test_all_recorders_together_and_each_apart(recorder: Participant) -> None:
    pit_of(visit_of(recorder))
    pit_of(visit_of(ParticipantFactory.create()), epigeic=2)

    assert verified().reliability.n_verified == 2
    assert verified().moves.dropped == 2
    assert verified(recorder).moves.dropped == 0
