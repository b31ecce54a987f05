"""Claim a visit for some minutes, so that two reviewers do not do the same work."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction

from surveys.moderation.models import ReviewClaim
from surveys.moderation.permissions import require_allowed, require_first_opinion
from surveys.moderation.refusals import ClaimedByOther, StaleDecision
from surveys.moderation.versions import version_of
from surveys.people.models import Reviewer
from surveys.visits.models import Visit, VisitState


@transaction.atomic
def claim(*, visit: Visit, reviewer: Reviewer, at: datetime) -> ReviewClaim:
    """Claim a visit that waits, or claim one's own for longer.

    Raises
    ------
    NotAllowed
        If the reviewer may not decide on the visit.
    StaleDecision
        If the visit does not wait for a decision any more.
    ClaimedByOther
        If another reviewer's claim is in force.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    require_allowed(visit, reviewer)
    require_first_opinion(visit, reviewer)
    if visit.state != VisitState.IN_REVIEW:
        raise StaleDecision(visit, version_of(visit))
    require_unclaimed(visit, reviewer, at)
    held, _ = ReviewClaim.objects.update_or_create(
        visit=visit,
        defaults={
            "reviewer": reviewer,
            "claimed_at": at,
            "expires_at": at + timedelta(minutes=settings.REVIEW_CLAIM_MINUTES),
        },
    )
    return held


def let_go(*, visit: Visit, reviewer: Reviewer) -> None:
    """End one's own claim; that of another reviewer stays."""
    ReviewClaim.objects.filter(visit=visit, reviewer=reviewer).delete()


def require_unclaimed(visit: Visit, reviewer: Reviewer, at: datetime) -> None:
    """Refuse a reviewer while another one's claim on a visit is in force.

    Raises
    ------
    ClaimedByOther
        If it is; it says until when.
    """
    others = ReviewClaim.objects.filter(visit=visit, expires_at__gt=at).exclude(reviewer=reviewer)
    held = others.first()
    if held is not None:
        raise ClaimedByOther(held.expires_at)
