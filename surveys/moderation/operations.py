"""Decide on a visit; nothing that the recorder wrote is overwritten."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from surveys.audit.operations import record
from surveys.moderation.models import Appeal, Decision, Review
from surveys.moderation.reasons import REASONS
from surveys.people.models import Reviewer
from surveys.people.permissions import may_review
from surveys.protocol.vocabulary import CountState
from surveys.visits.models import Count, Visit, VisitState
from surveys.visits.operations import determine

_NEXT_STATE = {
    Decision.ACCEPTED: VisitState.ACCEPTED,
    Decision.ACCEPTED_WITH_CHANGE: VisitState.ACCEPTED,
    Decision.ASKED_BACK: VisitState.ASKED_BACK,
    Decision.DECLINED: VisitState.DECLINED,
}
_OPEN = {VisitState.IN_REVIEW, VisitState.ASKED_BACK}


class NotAllowed(Exception):  # noqa: N818 -- reads as what happened
    """The reviewer may not decide on the visit."""


class NotDecidable(Exception):  # noqa: N818 -- reads as what happened
    """The decision does not fit the visit's state, reason or lines; the message says how."""


class StaleDecision(Exception):  # noqa: N818 -- reads as what happened
    """The visit was corrected or decided since the reviewer read it."""

    def __init__(self, current: int, state: str) -> None:
        super().__init__(f"The visit is {state} at revision {current}.")
        self.current = current
        self.state = state


@dataclass(frozen=True)
class Change:
    """A new determination of one line: pit number, step, group, stage, taxon and number."""

    pit: int
    phase: str
    group: str
    stage: str
    number: int
    taxon: str = ""


@transaction.atomic
def review(  # noqa: PLR0913 -- a decision has this many parts
    *,
    visit: Visit,
    reviewer: Reviewer,
    decision: Decision | str,
    revision: int,
    at: datetime,
    reason_code: str = "",
    message: str = "",
    changes: Sequence[Change] = (),
) -> Review:
    """Store a decision on the revision that the reviewer saw.

    Raises
    ------
    NotAllowed
        If the visit is the reviewer's own or of the same household, or was appealed against
        this reviewer's decision.
    StaleDecision
        If the visit has a newer revision or is closed.
    NotDecidable
        If the reason does not fit the decision, or a change names no line of the visit.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    decision = Decision(decision)
    _require_allowed(visit, reviewer)
    if visit.revision != revision or visit.state not in _OPEN:
        raise StaleDecision(visit.revision, visit.state)
    _require_reason(decision, reason_code, changes)
    made = Review.objects.create(
        visit=visit,
        revision=revision,
        reviewer=reviewer,
        decision=decision,
        reason_code=reason_code,
        message=message,
        decided_at=at,
    )
    for change in changes:
        _apply(visit, change, made)
    visit.state = _NEXT_STATE[decision]
    visit.save(update_fields=["state"])
    record(
        actor=f"reviewer {reviewer.code}",
        action=f"visit {decision}",
        kind="visit",
        key=f"{visit.group.code}/{visit.client_ref}",
        at=at,
        revision=revision,
        reason=reason_code,
    )
    return made


@transaction.atomic
def appeal(*, visit: Visit, text: str, at: datetime) -> Appeal:
    """Reopen a decided visit for another reviewer.

    Raises
    ------
    NotDecidable
        If the visit is not decided, or the decision was appealed before.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    last = visit.reviews.order_by("-id").first()
    if last is None or visit.state not in {VisitState.ACCEPTED, VisitState.DECLINED}:
        msg = "Only an accepted or declined visit can be appealed."
        raise NotDecidable(msg)
    if last.appeals.exists():
        msg = "This decision was appealed before."
        raise NotDecidable(msg)
    made = Appeal.objects.create(visit=visit, against=last, text=text, raised_at=at)
    visit.state = VisitState.IN_REVIEW
    visit.save(update_fields=["state"])
    record(
        actor=f"group {visit.group.code}",
        action="decision appealed",
        kind="visit",
        key=f"{visit.group.code}/{visit.client_ref}",
        at=at,
    )
    return made


@transaction.atomic
def approve_note(*, visit: Visit, reviewer: Reviewer, at: datetime) -> None:
    """Let a visit's note be published from the next release on.

    ``visit`` is as the reviewer read it: a note sent by a later correction is another note.

    Raises
    ------
    NotAllowed
        If the reviewer may not decide on this visit.
    StaleDecision
        If the visit was corrected since it was read.
    """
    read_revision = visit.revision
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    _require_allowed(visit, reviewer)
    if visit.revision != read_revision:
        raise StaleDecision(visit.revision, visit.state)
    visit.note_approved = True
    visit.save(update_fields=["note_approved"])
    record(
        actor=f"reviewer {reviewer.code}",
        action="note approved",
        kind="visit",
        key=f"{visit.group.code}/{visit.client_ref}",
        at=at,
    )


def _require_allowed(visit: Visit, reviewer: Reviewer) -> None:
    if not may_review(reviewer, visit.participant):
        msg = "Nobody reviews their own record or one of their household."
        raise NotAllowed(msg)
    if visit.appeals.filter(against__reviewer=reviewer).exists():
        msg = "An appeal goes to another reviewer."
        raise NotAllowed(msg)


def _require_reason(decision: Decision, reason_code: str, changes: Sequence[Change]) -> None:
    fitting = sorted(code for code, reason in REASONS.items() if decision in reason.decisions)
    if decision == Decision.ACCEPTED and not reason_code:
        fitting = [""]
    if reason_code not in fitting:
        msg = f"The decision {decision} takes one of these reasons: {', '.join(fitting) or 'none'}."
        raise NotDecidable(msg)
    if (decision == Decision.ACCEPTED_WITH_CHANGE) != bool(changes):
        msg = "Accepting with change needs at least one change, and only that decision takes any."
        raise NotDecidable(msg)


def _apply(visit: Visit, change: Change, made: Review) -> None:
    count = Count.objects.filter(
        phase__pit__in=visit.current_pits(),
        phase__pit__number=change.pit,
        phase__kind=change.phase,
        group=change.group,
        stage=change.stage,
        taxon=change.taxon,
    ).first()
    if count is None or count.state != CountState.COUNTED:
        msg = (
            f"Pit {change.pit}, {change.phase}, {change.group} {change.stage} was not counted, "
            "so it cannot be determined anew."
        )
        raise NotDecidable(msg)
    determine(
        count=count,
        number=change.number,
        reviewer=made.reviewer,
        at=made.decided_at,
        reason_code=made.reason_code,
    )
