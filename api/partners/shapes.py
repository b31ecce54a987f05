"""Private rows as their own group may read them."""

from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from api.errors import with_docs
from api.links import address
from surveys.checks.queries import concerns
from surveys.intake.faults import Fault
from surveys.intake.models import Submission, SubmissionItem
from surveys.intake.wording import translated
from surveys.moderation.queries import review_texts
from surveys.visits.models import Visit


def documented(faults: list[Fault]) -> dict[str, Any]:
    """Return faults as members of an answer, each with the address of its explanation."""
    return with_docs(translated(fault.as_dict() for fault in faults))


def submission_summary(submission: Submission) -> dict[str, Any]:
    """Return a submission with the state of each of its visits."""
    own = f"/api/v1/partner/submissions/{submission.public_key}"
    return {
        "id": str(submission.public_key),
        "received_at": told(submission.received_at),
        "body_sha256": submission.body_sha256,
        "visits": [_item(item, f"{own}/faults") for item in submission.items.all()],
        "links": {"self": address(own), "faults": address(f"{own}/faults")},
    }


def visit_report(visit: Visit) -> dict[str, Any]:
    """Return where a visit stands, with what the checks and the reviewers said."""
    return {
        "client_ref": visit.client_ref,
        "state": visit.state,
        "revision": visit.revision,
        "protocol": str(visit.protocol),
        "visited_on": visit.visited_on.isoformat(),
        "received_at": told(visit.received_at),
        "sent_at": told(visit.sent_at) if visit.sent_at else None,
        "public_id": str(visit.public_id) if visit.public_id else None,
        "open_questions": [asdict(concern) for concern in concerns(visit)],
        "reviews": [asdict(text) for text in review_texts(visit)],
        "links": {"self": address(f"/api/v1/partner/visits/{visit.client_ref}")},
    }


def _item(item: SubmissionItem, faults: str) -> dict[str, Any]:
    return {
        "position": item.position,
        "client_ref": item.client_ref,
        "outcome": item.outcome,
        "state": item.visit.state if item.visit else None,
        "reviews": [asdict(text) for text in review_texts(item.visit)] if item.visit else [],
        **with_docs(translated(item.faults), address(faults)),
    }


def told(instant: datetime) -> str:
    """Return an instant as answers write it (RFC 3339, in UTC)."""
    return f"{instant.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
