"""What waits for whom, and in which order."""

from datetime import timedelta
from decimal import Decimal

import pytest

from surveys.moderation.queue import Place, behind, waiting_for
from surveys.people.models import Reviewer
from surveys.visits.models import Visit, VisitState
from tests.factories.private import (
    NOW,
    AppealFactory,
    CheckOutcomeFactory,
    CountFactory,
    DoublePairFactory,
    GroupFactory,
    ParticipantFactory,
    ReviewClaimFactory,
    ReviewerFactory,
    ReviewFactory,
    SiteFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db


def queue_of(reviewer: Reviewer) -> list[Visit]:
    return list(waiting_for(reviewer, NOW))


def received(hours_ago: int, doubts: int = 0) -> Visit:
    """Store a visit about which some checks have a doubt."""
    visit: Visit = VisitFactory.create(received_at=NOW - timedelta(hours=hours_ago))
    CheckOutcomeFactory.create_batch(doubts, visit=visit, result="NOT_COMPLIANT")
    return visit


def test_doubtful_visits_come_first_then_the_older() -> None:
    clean_new, clean_old = received(1), received(3)
    doubtful_new, doubtful_old = received(1, doubts=1), received(3, doubts=1)
    very_doubtful = received(2, doubts=2)

    found = queue_of(ReviewerFactory.create())

    assert found == [very_doubtful, doubtful_old, doubtful_new, clean_old, clean_new]


def test_own_record_and_that_of_the_household_wait_for_others() -> None:
    own = ParticipantFactory.create(household="mill")
    relative = ParticipantFactory.create(household="mill", group=own.group)
    neighbour = ParticipantFactory.create(household="farm", group=own.group)
    visits = [VisitFactory.create(participant=person) for person in (own, relative, neighbour)]

    assert queue_of(ReviewerFactory.create(participant=own)) == visits[2:]
    assert queue_of(ReviewerFactory.create()) == visits


def test_nothing_waits_for_a_reviewer_who_left() -> None:
    received(1)

    assert queue_of(ReviewerFactory.create(active=False)) == []


def test_appealed_visit_waits_for_another_reviewer() -> None:
    visit = received(1)
    first, second = ReviewerFactory.create_batch(2)
    ReviewFactory.create(
        visit=visit, reviewer=second, decision="asked_back", reason_code="check-date"
    )
    AppealFactory.create(against=ReviewFactory.create(visit=visit, reviewer=first))

    assert queue_of(first) == []
    assert queue_of(second) == [visit]


def test_only_visits_in_review_wait() -> None:
    waiting = VisitFactory.create()
    for state in VisitState.values:
        if state != "in_review":
            VisitFactory.create(state=state)
    tried_out = GroupFactory.create(practice_of=GroupFactory.create())
    VisitFactory.create(participant=ParticipantFactory.create(group=tried_out))

    assert queue_of(ReviewerFactory.create()) == [waiting]


def test_appeal_keeps_everybody_out_who_had_a_look_in_that_round() -> None:
    visit = received(1)
    first, second, stranger = ReviewerFactory.create_batch(3)
    looks = {"visit": visit, "round": 1}
    ReviewFactory.create(reviewer=first, standing="heard", **looks)
    AppealFactory.create(against=ReviewFactory.create(reviewer=second, look=2, **looks))

    assert [queue_of(one) for one in (first, second, stranger)] == [[], [], [visit]]


def test_visit_waits_for_nobody_who_holds_an_opinion_on_its_newest_revision() -> None:
    visit, reviewer = received(1), ReviewerFactory.create()
    ReviewFactory.create(visit=visit, reviewer=reviewer, standing="held")

    assert queue_of(reviewer) == []
    Visit.objects.update(revision=2)
    assert queue_of(reviewer) == [visit]


@pytest.mark.parametrize(("ends_in_minutes", "left"), [(1, 0), (0, 1), (-1, 1)])
def test_claim_hides_a_visit_from_others_until_it_ends(ends_in_minutes: int, left: int) -> None:
    visit, reviewer = received(1), ReviewerFactory.create()
    ends_at = NOW + timedelta(minutes=ends_in_minutes)
    ReviewClaimFactory.create(
        visit=visit, reviewer=reviewer, claimed_at=NOW - timedelta(hours=1), expires_at=ends_at
    )

    assert queue_of(reviewer) == [visit]
    assert len(queue_of(ReviewerFactory.create())) == left


def test_doubt_weighs_what_follows_from_each_finding_and_a_possible_double() -> None:
    visit = received(1)
    for label in ("VALIDATION_COUNTS_LIKELY", "VALIDATION_SUBMISSION_TIMELY"):  # hold, note
        CheckOutcomeFactory.create(visit=visit, label=label, result="NOT_COMPLIANT")
    CheckOutcomeFactory.create(visit=visit, result="NOT_COMPLIANT", superseded_at=NOW)
    CheckOutcomeFactory.create(visit=visit, result="NOT_COMPLIANT", revision=9)
    CheckOutcomeFactory.create(visit=visit)
    doubtful = waiting_for(ReviewerFactory.create(), NOW)
    assert [one.doubt for one in doubtful] == [3 + 1]

    other = VisitFactory.create(state="accepted")
    pair = DoublePairFactory.create(first=visit, second=other)

    assert [one.doubt for one in doubtful.all()] == [3 + 1 + 3]
    pair.verdict, pair.judged_by, pair.judged_at = "two_visits", ReviewerFactory.create(), NOW
    pair.save()
    assert [one.doubt for one in doubtful.all()] == [3 + 1]


@pytest.mark.parametrize(("off_deg", "value"), [("0.04", 0), ("0.06", 1)])
def test_first_visit_of_its_surroundings_has_value(off_deg: str, value: int) -> None:
    known = VisitFactory.create(state="accepted")
    place = known.site.latitude + Decimal(off_deg)
    VisitFactory.create(site=SiteFactory.create(latitude=place))

    assert [one.value for one in waiting_for(ReviewerFactory.create(), NOW)] == [value]


@pytest.mark.parametrize(("accepted", "value"), [(4, 1), (5, 0)])
def test_taxon_that_few_accepted_visits_have_has_value(accepted: int, value: int) -> None:
    for _ in range(accepted):
        CountFactory.create(
            phase__pit__visit__state="accepted", taxon="Lumbricus badensis", number=1
        )
    CountFactory.create(phase__pit__visit__state="in_review", taxon="Lumbricus badensis", number=1)

    (waiting,) = waiting_for(ReviewerFactory.create(), NOW)
    assert waiting.value == value


def test_pages_behind_each_visit_give_the_rest_of_the_queue() -> None:
    for hours, doubts in ((1, 0), (1, 0), (3, 0), (1, 1), (3, 1), (2, 2)):
        received(hours, doubts)
    waiting = waiting_for(ReviewerFactory.create(), NOW)
    whole = list(waiting)

    for number, visit in enumerate(whole, start=1):
        place = Place(visit.doubt, visit.value, visit.received_at, visit.pk)
        assert list(behind(waiting, place)) == whole[number:]
