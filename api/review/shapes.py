"""Visits as reviewers may read them."""

from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db.models import Q

from api.links import address
from api.plain_numbers import with_numbers
from surveys.checks.models import DoublePair
from surveys.checks.queries import Outcome, concerns, quality_report
from surveys.moderation.models import Review
from surveys.moderation.queries import opinions_held, review_texts
from surveys.moderation.versions import tag_of, version_of
from surveys.visits.models import Visit
from surveys.visits.stored import facts_of

BLIND_LOOKS = 2  # so many opinions differ before they are told
VISIT: dict[str, Any] = {
    "group": {"type": "string"},
    "client_ref": {"type": "string"},
    "revision": {"type": "integer"},
    "state": {"type": "string"},
    "etag": {"type": "string"},
    "visited_on": {"type": "string", "format": "date"},
    "received_at": {"type": "string", "format": "date-time"},
    "open_questions": {"type": "array", "items": {"type": "object"}},
    "possible_doubles": {"type": "array", "items": {"type": "object"}},
    "reviews": {"type": "array", "items": {"type": "object"}},
}


def etag(visit: Visit) -> str:
    """Return the ETag of a visit's version."""
    return f'"{tag_of(visit, version_of(visit))}"'


def instant(at: datetime) -> str:
    """Return an instant as it is written in answers."""
    return f"{at:%Y-%m-%dT%H:%M:%SZ}"


def brief(visit: Visit) -> dict[str, Any]:
    """Return what a queue says of a visit."""
    return {
        "group": visit.group.code,
        "client_ref": visit.client_ref,
        "revision": visit.revision,
        "state": visit.state,
        "etag": etag(visit),
        "visited_on": visit.visited_on.isoformat(),
        "received_at": instant(visit.received_at),
        "open_questions": [asdict(concern) for concern in concerns(visit)],
        "possible_doubles": list(_doubles(visit)),
        "reviews": [asdict(text) for text in review_texts(visit)],
        "links": {"self": address(f"/api/v1/review/visits/{visit.group.code}/{visit.client_ref}")},
    }


def detailed(visit: Visit) -> dict[str, Any]:
    """Return a visit with its facts, all that the checks said, and opinions that differ."""
    held = opinions_held(visit)
    facts = asdict(facts_of(visit))
    return brief(visit) | {
        "protocol": str(visit.protocol),
        "facts": {name: with_numbers(facts[name]) for name in facts if name not in _TOLD_ELSEWHERE},
        "checks": [_outcome(one) for one in quality_report(visit)],
        "opinions": [_opinion(one) for one in held] if len(held) >= BLIND_LOOKS else [],
    }


_TOLD_ELSEWHERE = frozenset({"client_ref", "group_code", "participant_code", "visited_on"})


def _outcome(outcome: Outcome) -> dict[str, Any]:
    ended_at = outcome.superseded_at
    return asdict(outcome) | {
        "run_at": instant(outcome.run_at),
        "superseded_at": None if ended_at is None else instant(ended_at),
    }


def _opinion(review: Review) -> dict[str, Any]:
    """Return an opinion without its reviewer, so that it counts by its reasons alone."""
    return {
        "decision": review.decision,
        "reason_code": review.reason_code,
        "message": review.message,
        "changes": review.changes,
    }


def _doubles(visit: Visit) -> Iterator[dict[str, Any]]:
    pairs = DoublePair.objects.filter(Q(first=visit) | Q(second=visit), verdict="")
    for pair in pairs.select_related("first__group", "second__group"):
        other = pair.second if pair.first_id == visit.pk else pair.first
        yield {"pair": pair.pk, "group": other.group.code, "client_ref": other.client_ref}
