"""Who may give an opinion on a visit."""

from surveys.moderation.models import Standing
from surveys.moderation.refusals import NotAllowed
from surveys.people.models import Reviewer
from surveys.people.permissions import may_review
from surveys.visits.models import Visit


def require_allowed(visit: Visit, reviewer: Reviewer) -> None:
    """Refuse a reviewer with an interest in a visit, or appealed against.

    Raises
    ------
    NotAllowed
        If the visit is the reviewer's own or of the same household, or a round in which the
        reviewer had a look was appealed against.
    """
    if not may_review(reviewer, visit.participant):
        msg = "Nobody reviews their own record or one of their household."
        raise NotAllowed(msg)
    appealed = visit.appeals.values("against__round")
    if visit.reviews.filter(reviewer=reviewer, round__in=appealed).exists():
        msg = "An appeal goes to another reviewer."
        raise NotAllowed(msg)


def require_first_opinion(visit: Visit, reviewer: Reviewer) -> None:
    """Refuse a reviewer whose opinion waits for another look.

    Raises
    ------
    NotAllowed
        If there is such an opinion on the newest revision.
    """
    held = visit.reviews.filter(revision=visit.revision, standing=Standing.HELD)
    if held.filter(reviewer=reviewer).exists():
        msg = "You gave your opinion on this visit; the next look is somebody else's."
        raise NotAllowed(msg)
