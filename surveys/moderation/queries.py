"""Where the round of a visit stands, and what a sender may read of the decisions."""

from dataclasses import dataclass

from django.db.models import Max

from surveys.moderation.models import Review, Standing
from surveys.moderation.reasons import REASONS
from surveys.visits.models import Visit


@dataclass(frozen=True)
class ReviewText:
    """One decision as its sender reads it; the reviewer stays unnamed."""

    revision: int
    decision: str
    reason_code: str
    reason: str
    why: str
    next_time: str
    message: str
    decided_on: str


def opinions_held(visit: Visit) -> list[Review]:
    """Return the opinions of the running round, first look first."""
    held = visit.reviews.filter(revision=visit.revision, standing=Standing.HELD)
    return list(held.select_related("reviewer").order_by("look"))


def next_round(visit: Visit) -> int:
    """Return the number of a round that begins."""
    last: int | None = visit.reviews.aggregate(last=Max("round"))["last"]
    return (last or 0) + 1


def review_texts(visit: Visit) -> list[ReviewText]:
    """Return a visit's decisions, oldest first; opinions that did not decide are not told."""
    deciding = visit.reviews.filter(standing=Standing.DECIDING).order_by("id")
    return [_text(review) for review in deciding]


def _text(review: Review) -> ReviewText:
    reason = REASONS.get(review.reason_code)
    return ReviewText(
        revision=review.revision,
        decision=review.decision,
        reason_code=review.reason_code,
        reason=reason.text if reason else "",
        why=reason.why if reason else "",
        next_time=reason.next_time if reason else "",
        message=review.message,
        decided_on=review.decided_at.date().isoformat(),
    )
