"""What waits for whom, in which order, and what a sender reads of the decisions."""

from datetime import UTC, datetime, timedelta

import pytest

from surveys.moderation.queries import ReviewText, review_texts, waiting, waiting_for
from surveys.moderation.reasons import REASONS
from surveys.visits.models import Visit, VisitState
from tests.factories.private import (
    NOW,
    AppealFactory,
    CheckOutcomeFactory,
    ParticipantFactory,
    ReviewerFactory,
    ReviewFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db


def received(hours_ago: int, doubts: int = 0) -> Visit:
    """Store a visit about which some checks have a doubt."""
    visit: Visit = VisitFactory.create(received_at=NOW - timedelta(hours=hours_ago))
    CheckOutcomeFactory.create_batch(doubts, visit=visit, result="NOT_COMPLIANT")
    return visit


def test_visits_in_review_wait_oldest_first() -> None:
    newer, older = received(1), received(2)
    twin_of_newer = received(1)
    for state in VisitState.values:
        if state != "in_review":
            VisitFactory.create(state=state)

    assert list(waiting()) == [older, newer, twin_of_newer]


def test_doubtful_visits_come_first_then_the_older() -> None:
    clean_new, clean_old = received(1), received(3)
    doubtful_new, doubtful_old = received(1, doubts=1), received(3, doubts=1)
    very_doubtful = received(2, doubts=2)

    found = waiting_for(ReviewerFactory.create())

    assert found == [very_doubtful, doubtful_old, doubtful_new, clean_old, clean_new]


def test_own_record_and_that_of_the_household_wait_for_others() -> None:
    own = ParticipantFactory.create(household="mill")
    relative = ParticipantFactory.create(household="mill", group=own.group)
    neighbour = ParticipantFactory.create(household="farm", group=own.group)
    visits = [VisitFactory.create(participant=person) for person in (own, relative, neighbour)]

    assert waiting_for(ReviewerFactory.create(participant=own)) == visits[2:]
    assert waiting_for(ReviewerFactory.create()) == visits


def test_nothing_waits_for_a_reviewer_who_left() -> None:
    received(1)

    assert waiting_for(ReviewerFactory.create(active=False)) == []


def test_appealed_visit_waits_for_another_reviewer() -> None:
    visit = received(1)
    first, second = ReviewerFactory.create_batch(2)
    ReviewFactory.create(
        visit=visit, reviewer=second, decision="asked_back", reason_code="check-date"
    )
    AppealFactory.create(against=ReviewFactory.create(visit=visit, reviewer=first))

    assert waiting_for(first) == []
    assert waiting_for(second) == [visit]


def test_sender_reads_decisions_with_their_reasons_and_no_reviewer() -> None:
    visit = VisitFactory.create()
    at = datetime(2025, 4, 15, 23, 59, tzinfo=UTC)
    ReviewFactory.create(
        visit=visit, decision="asked_back", reason_code="check-date", message="Day?", decided_at=at
    )
    ReviewFactory.create(visit=visit, revision=2, decision="accepted", decided_at=at)
    ReviewFactory.create()

    assert review_texts(visit) == [
        ReviewText(1, "asked_back", "check-date", REASONS["check-date"].text, "Day?", "2025-04-15"),
        ReviewText(2, "accepted", "", "", "", "2025-04-15"),
    ]


def test_reason_that_is_no_longer_listed_keeps_its_code() -> None:
    visit = VisitFactory.create()
    ReviewFactory.create(visit=visit, decision="declined", reason_code="of-old")

    (text,) = review_texts(visit)

    assert (text.reason_code, text.reason) == ("of-old", "")
