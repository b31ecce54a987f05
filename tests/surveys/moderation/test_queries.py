"""What a sender reads of the decisions."""

from datetime import UTC, datetime

import pytest

from surveys.moderation.queries import ReviewText, review_texts
from surveys.moderation.reasons import REASONS
from tests.factories.private import ReviewFactory, VisitFactory

pytestmark = pytest.mark.django_db


def test_sender_reads_decisions_with_their_reasons_and_no_reviewer() -> None:
    visit = VisitFactory.create()
    at = datetime(2025, 4, 15, 23, 59, tzinfo=UTC)
    ReviewFactory.create(
        visit=visit, decision="asked_back", reason_code="check-date", message="Day?", decided_at=at
    )
    ReviewFactory.create(visit=visit, revision=2, decision="accepted", decided_at=at)
    ReviewFactory.create(visit=visit, decision="declined", reason_code="double", standing="heard")
    ReviewFactory.create()

    reason = REASONS["check-date"]
    assert review_texts(visit) == [
        ReviewText(
            revision=1,
            decision="asked_back",
            reason_code="check-date",
            reason=reason.text,
            why=reason.why,
            next_time=reason.next_time,
            message="Day?",
            decided_on="2025-04-15",
        ),
        ReviewText(2, "accepted", "", "", "", "", "", "2025-04-15"),
    ]


def test_reason_that_is_no_longer_listed_keeps_its_code() -> None:
    visit = VisitFactory.create()
    ReviewFactory.create(visit=visit, decision="declined", reason_code="of-old")

    (text,) = review_texts(visit)

    assert (text.reason_code, text.reason) == ("of-old", "")
