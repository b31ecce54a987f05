"""What waits for a reviewer, and what a sender may read of the reviews."""

from dataclasses import dataclass

from django.db.models import QuerySet

from surveys.checks.queries import concerns
from surveys.moderation.models import Review
from surveys.moderation.reasons import REASONS
from surveys.people.models import Reviewer
from surveys.people.permissions import may_review
from surveys.visits.models import Visit, VisitState


@dataclass(frozen=True)
class ReviewText:
    """One decision as its sender reads it; the reviewer stays unnamed."""

    revision: int
    decision: str
    reason_code: str
    reason: str
    message: str
    decided_on: str


def waiting() -> QuerySet[Visit]:
    """Return the visits that wait for a decision, oldest first."""
    return (
        Visit.objects.filter(state=VisitState.IN_REVIEW)
        .select_related("group", "participant", "site", "protocol")
        .order_by("received_at", "id")
    )


def waiting_for(reviewer: Reviewer) -> list[Visit]:
    """Return what a reviewer may decide on, the doubtful first, then the older."""
    open_to = [
        visit
        for visit in waiting()
        if may_review(reviewer, visit.participant)
        and not visit.appeals.filter(against__reviewer=reviewer).exists()
    ]
    return sorted(open_to, key=lambda visit: (-len(concerns(visit)), visit.received_at, visit.pk))


def review_texts(visit: Visit) -> list[ReviewText]:
    """Return a visit's decisions, oldest first."""
    return [_text(review) for review in visit.reviews.order_by("id")]


def _text(review: Review) -> ReviewText:
    reason = REASONS.get(review.reason_code)
    return ReviewText(
        revision=review.revision,
        decision=review.decision,
        reason_code=review.reason_code,
        reason=reason.text if reason else "",
        message=review.message,
        decided_on=review.decided_at.date().isoformat(),
    )
