"""Visits that may be one, whoever sent them: which wait, and what reviewers found."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q, QuerySet

from surveys.audit.operations import record
from surveys.checks.models import DoublePair, Verdict
from surveys.moderation.permissions import require_allowed
from surveys.moderation.refusals import NotDecidable
from surveys.people.models import Reviewer
from surveys.visits.models import VisitState

CLOSED = (VisitState.WITHDRAWN, VisitState.DECLINED)


def pairs_for(reviewer: Reviewer) -> QuerySet[DoublePair]:
    """Return the pairs that nobody has judged and that this reviewer may, oldest first."""
    if not reviewer.active:
        return DoublePair.objects.none()
    pairs = DoublePair.objects.filter(verdict="").exclude(
        Q(first__state__in=CLOSED) | Q(second__state__in=CLOSED)
    )
    own = reviewer.participant
    if own is not None:
        for side in ("first", "second"):
            household = {
                f"{side}__participant__group": own.group_id,
                f"{side}__participant__household": own.household,
            }
            pairs = pairs.exclude(**household)
    return pairs.select_related("first__group", "second__group").order_by("pk")


@transaction.atomic
def judge(*, pair: DoublePair, verdict: Verdict, reviewer: Reviewer, at: datetime) -> DoublePair:
    """Say whether two visits are one; which of them goes is then a decision like any other.

    Raises
    ------
    NotAllowed
        If one of the visits is of the reviewer's household, or appealed against the reviewer.
    NotDecidable
        If the pair was judged before.
    """
    pair = DoublePair.objects.select_for_update().get(pk=pair.pk)
    for visit in (pair.first, pair.second):
        require_allowed(visit, reviewer)
    if pair.verdict:
        msg = f"This pair was judged to be {pair.get_verdict_display()}."
        raise NotDecidable(msg)
    pair.verdict, pair.judged_by, pair.judged_at = verdict, reviewer, at
    pair.save()
    record(
        actor=f"reviewer {reviewer.code}",
        action=f"pair judged {verdict}",
        # Not "visit": lists of what changed for a group are made from the trail.
        kind="pair",
        key=str(pair.pk),
        at=at,
    )
    return pair
