"""People with a token in force, ready to call."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from surveys.people.models import Group, Reviewer
from surveys.people.operations import issue_token
from tests.factories.private import (
    ConsentFactory,
    ParticipantFactory,
    Payload,
    put,
    sending_group,
    visit_payload,
)
from tests.journeys.actors import Actor

ALL_OF_A_GROUP = ("read", "submit", "withdraw")
SUBMISSIONS = "/api/v1/partner/submissions"
VISITS = "/api/v1/partner/visits"


def holder_of(holder: Group | Reviewer, *scopes: str, lifetime_days: int = 30) -> Actor:
    """Return the holder of a token issued ten days ago."""
    issued_at = timezone.now() - timedelta(days=10)
    _, secret = issue_token(
        holder=holder, name="laptop", scopes=scopes, at=issued_at, lifetime_days=lifetime_days
    )
    return Actor(secret)


def partner(code: str = "QVD") -> tuple[Group, Actor]:
    """Return a group with one consenting participant, and its caller with every scope."""
    group = sending_group(code)
    return group, holder_of(group, *ALL_OF_A_GROUP)


def visit_of(number: int, **changes: Any) -> Payload:
    """Return a visit that differs from others in reference, site and place."""
    made = visit_payload(client_ref=f"QVD-S{number:02}", **changes)
    made = put(made, "/site/code", f"QVD-07-{number}")
    return put(made, "/site/latitude", round(52.88123 + number / 1000, 5))


def sent_visit(caller: Actor, payload: Payload) -> None:
    """Send one visit and see it stored."""
    answer = caller.post(SUBMISSIONS, {"visits": [payload]})
    assert answer.json()["summary"]["stored"] == 1, answer.json()


def neighbour(group: Group, code: str) -> None:
    """Register another consenting participant of a group."""
    ConsentFactory.create(participant=ParticipantFactory.create(group=group, code=code))
