"""Keep what a group sent, word for word, and what became of each item of it."""

import hashlib
import uuid
from collections.abc import Iterable
from datetime import datetime
from typing import Protocol

from surveys.intake.faults import Fault
from surveys.intake.models import ItemOutcome, Submission, SubmissionItem
from surveys.people.models import Group
from surveys.visits.models import Visit


class Taken(Protocol):
    """One item of what was sent, and what became of it."""

    position: int
    client_ref: str
    outcome: ItemOutcome
    visit: Visit | None
    faults: list[Fault]


def keep_submission(*, group: Group, token_name: str, body: bytes, at: datetime) -> Submission:
    """Keep the bytes that a group sent."""
    return Submission.objects.create(
        group=group,
        public_key=uuid.uuid4(),
        token_name=token_name,
        received_at=at,
        body=body,
        body_sha256=hashlib.sha256(body).hexdigest(),
    )


def keep_items(submission: Submission, items: Iterable[Taken]) -> None:
    """Keep what became of each item of a submission."""
    SubmissionItem.objects.bulk_create(
        SubmissionItem(
            submission=submission,
            position=item.position,
            client_ref=item.client_ref,
            outcome=item.outcome,
            visit=item.visit,
            faults=[fault.as_dict() for fault in item.faults],
        )
        for item in items
    )
