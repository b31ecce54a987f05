"""The version of a visit as reviewers see it, and what happened since a version.

Every correction, opinion, appeal and withdrawal makes a new version. The tag of a version is a
keyed hash: it tells nobody how many opinions there are, and so not whether a look is the second.
"""

import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.crypto import salted_hmac

from surveys.moderation.models import Appeal, Review, Standing
from surveys.visits.models import Visit, VisitState

SALT = "surveys.moderation.versions"
TAG_LENGTH = 24


@dataclass(frozen=True)
class Happening:
    """One change of a visit; ``by`` is a reviewer's code, else empty."""

    what: str
    revision: int
    at: datetime | None = None
    by: str = ""
    decision: str = ""


def version_of(visit: Visit) -> int:
    """Return the number of a visit's version."""
    withdrawn = visit.state == VisitState.WITHDRAWN
    return visit.revision + visit.reviews.count() + visit.appeals.count() + withdrawn


def tag_of(visit: Visit, version: int) -> str:
    """Return the tag of one version of a visit."""
    return salted_hmac(SALT, f"{visit.pk} {version}", algorithm="sha256").hexdigest()[:TAG_LENGTH]


def version_tagged(visit: Visit, tag: str) -> int:
    """Return the version of a tag; 0 for a tag that no version of this visit has had."""
    for version in range(version_of(visit), 0, -1):
        if hmac.compare_digest(tag_of(visit, version).encode(), tag.encode()):
            return version
    return 0


def happened_since(visit: Visit, version: int) -> list[Happening]:
    """Return what happened to a visit after a version, oldest first.

    An opinion that waits for another look is told without its decision.
    """
    reviews = visit.reviews.select_related("reviewer").order_by("id")
    appeals = visit.appeals.select_related("against").order_by("id")
    happenings = [
        happening
        for revision in range(1, visit.revision + 1)
        for happening in _in_revision(visit, revision, list(reviews), list(appeals))
    ]
    if visit.state == VisitState.WITHDRAWN:
        happenings.append(Happening("withdrawn", visit.revision))
    return happenings[version:]


def _in_revision(
    visit: Visit, revision: int, reviews: Sequence[Review], appeals: Sequence[Appeal]
) -> list[Happening]:
    is_newest = revision == visit.revision
    sent = Happening(
        "received" if revision == 1 else "corrected",
        revision,
        visit.received_at if is_newest else None,
    )
    acts = [_reviewed(review) for review in reviews if review.revision == revision]
    acts += [
        Happening("appealed", revision, appeal.raised_at)
        for appeal in appeals
        if appeal.against.revision == revision
    ]
    return [sent, *sorted(acts, key=lambda act: act.at or visit.received_at)]


def _reviewed(review: Review) -> Happening:
    is_told = review.standing != Standing.HELD
    return Happening(
        "reviewed",
        review.revision,
        review.decided_at,
        review.reviewer.code,
        review.decision if is_told else "",
    )
