"""Take a corrected visit in as its next revision."""

import hashlib
import uuid
from datetime import datetime
from typing import Any

from django.db import transaction

from surveys.audit.operations import record
from surveys.checks.operations import keep_outcomes
from surveys.intake.checking import provenance, read_and_check
from surveys.intake.faults import Fault
from surveys.intake.models import ItemOutcome, Submission, SubmissionItem
from surveys.people.models import Group
from surveys.people.operations import hold_group
from surveys.visits.models import Visit, VisitState
from surveys.visits.operations import replace_visit


class NotCorrectable(Exception):  # noqa: N818 -- reads as what happened
    """A correction that cannot be taken; ``faults`` say why."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults[0].message)
        self.faults = faults


class StaleRevision(Exception):  # noqa: N818 -- reads as what happened
    """Somebody changed the record since the caller read it."""

    def __init__(self, current: int) -> None:
        super().__init__(f"The record is at revision {current}.")
        self.current = current


@transaction.atomic
def correct(  # noqa: PLR0913 -- a correction has this many facts
    *,
    group: Group,
    token_name: str,
    visit: Visit,
    body: bytes,
    raw: Any,
    revision: int,
    at: datetime,
) -> tuple[Visit, list[Fault]]:
    """Store a corrected visit as its next revision; returns it with queries and notes.

    Raises
    ------
    StaleRevision
        If ``revision`` is not the newest.
    NotCorrectable
        If the visit is withdrawn or declined, or the new content has an error.
    """
    hold_group(group)
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    visit, faults = take_correction(
        group=group, visit=visit, raw=raw, revision=revision, at=at, pointer=""
    )
    submission = Submission.objects.create(
        group=group,
        public_key=uuid.uuid4(),
        token_name=token_name,
        received_at=at,
        body=body,
        body_sha256=hashlib.sha256(body).hexdigest(),
    )
    SubmissionItem.objects.create(
        submission=submission,
        position=0,
        client_ref=visit.client_ref,
        outcome=ItemOutcome.CORRECTED,
        visit=visit,
        faults=[fault.as_dict() for fault in faults],
    )
    return visit, faults


def take_correction(
    *, group: Group, visit: Visit, raw: Any, revision: int, at: datetime, pointer: str
) -> tuple[Visit, list[Fault]]:
    """Put a corrected visit, whose row is held, beside its earlier revisions.

    ``pointer`` says where it stands in the body sent.

    Raises
    ------
    StaleRevision
        If ``revision`` is not the newest.
    NotCorrectable
        If the visit is withdrawn or declined, or the new content has an error.
    """
    if visit.revision != revision:
        raise StaleRevision(visit.revision)
    read, faults = read_and_check(raw, group, pointer, at)
    faults += _not_correctable(visit, raw, pointer)
    if read is None or any(fault.severity == "error" for fault in faults):
        raise NotCorrectable([fault for fault in faults if fault.severity == "error"])
    visit = replace_visit(visit=visit, facts=read.facts, provenance=provenance(read, group, at))
    keep_outcomes(visit=visit, findings=read.findings, at=at)
    record(
        actor=f"group {group.code}",
        action="visit corrected",
        kind="visit",
        key=f"{group.code}/{visit.client_ref}",
        at=at,
        revision=visit.revision,
    )
    return visit, faults


def _not_correctable(visit: Visit, raw: Any, pointer: str) -> list[Fault]:
    faults = []
    if visit.state in {VisitState.WITHDRAWN, VisitState.DECLINED}:
        faults.append(
            Fault(
                pointer=pointer,
                code="visit-closed",
                severity="error",
                message=f"This visit is {visit.get_state_display()} and takes no correction.",
                record=visit.client_ref,
            )
        )
    sent = raw.get("client_ref") if isinstance(raw, dict) else None
    if sent != visit.client_ref:
        faults.append(
            Fault(
                pointer=f"{pointer}/client_ref",
                code="ref-changed",
                severity="error",
                message="A correction keeps the reference of the visit.",
                received=sent,
                allowed=visit.client_ref,
                record=visit.client_ref,
            )
        )
    return faults
