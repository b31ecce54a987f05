"""Carry out each kind of event through the real operations."""

import json
from functools import singledispatch

from portal.demo.cast import EXACT_FROM, EXACT_UNTIL, STATEMENT
from portal.demo.events import (
    Appealed,
    BatchSent,
    ConsentAnswered,
    CorrectionSent,
    DayBegun,
    Event,
    ExactPlacesEntered,
    GroupRegistered,
    NoteApproved,
    ParticipantWithdrew,
    PersonRegistered,
    ReleaseMade,
    Reviewed,
    ReviewerAppointed,
)
from portal.demo.region import BOX, SCHOOL
from portal.demo.stage import Stage
from portal.publication.lapsing import Answer, hide_lapsed, take_answers
from portal.publication.operations import make_release
from portal.publication.withdrawal import ReasonClass, withdraw_participant
from surveys.audit.operations import record
from surveys.intake.corrections import correct
from surveys.intake.idempotency import KeyReused
from surveys.intake.operations import submit
from surveys.moderation.operations import Change, appeal, approve_note, review
from surveys.moderation.refusals import NotAllowed
from surveys.moderation.versions import version_of
from surveys.people.models import ConsentPurpose, Group, Reviewer
from surveys.people.operations import HowAnswered, register_group, register_participant
from surveys.sites.permissions import Term, permit_exact_place
from surveys.visits.models import Visit

STEWARD = "steward S1"


class StoryBroken(Exception):  # noqa: N818 -- reads as what happened
    """The system answered otherwise than the scenario tells; the message says where."""


@singledispatch
def play(event: Event, stage: Stage) -> None:  # noqa: ARG001 -- the shape of every player
    """Carry out one event.

    Raises
    ------
    TypeError
        If nobody knows how to play it.
    """
    msg = f"No player for {type(event).__name__}."
    raise TypeError(msg)


@play.register
def _(event: GroupRegistered, _stage: Stage) -> None:
    register_group(
        code=event.plan.code,
        name=event.plan.name,
        named_publicly=event.plan.named_publicly,
        box=BOX,
        meeting_point=event.plan.meeting_point,
        is_of_children=event.plan.code == SCHOOL,
        at=event.at,
    )


@play.register
def _(event: PersonRegistered, stage: Stage) -> None:
    person = event.person
    register_participant(
        group=_group(person.group),
        code=person.code,
        household=person.household,
        born_on=person.born_on,
        of_age_by=person.of_age_by,
        name=person.name,
        at=event.at,
    )
    stage.counts["participants registered"] += 1


@play.register
def _(event: ConsentAnswered, stage: Stage) -> None:
    said = Answer(
        purpose=ConsentPurpose.PUBLISH,
        decision=event.answer.decision,
        given_by=event.answer.given_by,
        statement_version=STATEMENT,
        how=HowAnswered(language="en", evidence=event.answer.evidence),
    )
    take_answers(
        participant=_group(event.group).participants.get(code=event.code),
        answers=[said],
        at=event.at,
        by=f"group {event.group}",
    )
    stage.counts["consent answers"] += 1


@play.register
def _(event: DayBegun, stage: Stage) -> None:
    hidden = hide_lapsed(at=event.at, by="daily run")
    stage.counts["visits hidden as consent had ended"] += hidden


@play.register
def _(event: ExactPlacesEntered, stage: Stage) -> None:
    participant = _group(event.group).participants.get(code=event.code)
    known = participant.sites.filter(exact_permissions__isnull=True).exclude(code__in=event.but)
    for site in known:
        permit_exact_place(
            site=site,
            participant=participant,
            term=Term(EXACT_FROM, EXACT_UNTIL, "paper_form"),
            at=event.at,
            by=f"group {event.group}",
        )
        stage.counts["exact places permitted"] += 1


@play.register
def _(event: ReviewerAppointed, _stage: Stage) -> None:
    own = _group("QVD").participants.get(code=event.participant) if event.participant else None
    Reviewer.objects.create(code=event.code, participant=own, is_steward=event.is_steward)
    record(
        actor="office", action="reviewer appointed", kind="reviewer", key=event.code, at=event.at
    )


@play.register
def _(event: BatchSent, stage: Stage) -> None:
    try:
        answer = submit(
            group=_group(event.group),
            token_name=event.sender,
            body=event.body,
            key=event.key,
            at=event.at,
        )
    except KeyReused:
        _require(event.expected == "key reused", f"{event.key}: the key was refused")
        stage.counts["keys refused"] += 1
        return
    outcome = "replayed" if answer.replayed else "taken"
    _require(outcome == event.expected, f"{event.key}: {outcome}, not {event.expected}")
    stage.counts[f"batches {outcome}"] += 1
    if not answer.replayed:
        stage.note(answer)


@play.register
def _(event: CorrectionSent, stage: Stage) -> None:
    visit = _visit(event.group, event.ref)
    correct(
        group=visit.group,
        token_name=event.sender,
        visit=visit,
        body=event.body,
        raw=json.loads(event.body),
        revision=visit.revision,
        at=event.at,
    )
    stage.counts["corrections"] += 1


@play.register
def _(event: Reviewed, stage: Stage) -> None:
    visit = _visit(event.group, event.ref)
    try:
        review(
            visit=visit,
            reviewer=Reviewer.objects.get(code=event.reviewer),
            decision=event.decision,
            seen=version_of(visit),
            at=event.at,
            reason_code=event.reason,
            message=event.message,
            changes=[
                Change(c.pit, c.phase, c.group, c.stage, c.number, c.taxon) for c in event.changes
            ],
        )
    except NotAllowed:
        _require(event.is_refused, f"{event.ref}: {event.reviewer} was not allowed to decide")
        stage.counts["reviews refused"] += 1
        return
    _require(not event.is_refused, f"{event.ref}: {event.reviewer} was allowed to decide")
    stage.counts[f"reviews {event.decision}"] += 1


@play.register
def _(event: Appealed, stage: Stage) -> None:
    appeal(visit=_visit(event.group, event.ref), text=event.text, at=event.at)
    stage.counts["appeals"] += 1


@play.register
def _(event: NoteApproved, stage: Stage) -> None:
    approve_note(
        visit=_visit(event.group, event.ref),
        reviewer=Reviewer.objects.get(code=event.reviewer),
        at=event.at,
    )
    stage.counts["notes approved"] += 1


@play.register
def _(event: ParticipantWithdrew, stage: Stage) -> None:
    withdraw_participant(
        participant=_group(event.group).participants.get(code=event.code),
        reason_class=ReasonClass(event.reason_class),
        at=event.at,
        by=f"participant {event.code}",
    )
    stage.counts["participants withdrew"] += 1


@play.register
def _(event: ReleaseMade, stage: Stage) -> None:
    make_release(at=event.at, by=STEWARD, mint=stage.mint)
    stage.counts["releases"] += 1


def _group(code: str) -> Group:
    return Group.objects.get(code=code)


def _visit(group: str, ref: str) -> Visit:
    return Visit.objects.select_related("group").get(group__code=group, client_ref=ref)


def _require(holds: bool, what: str) -> None:  # noqa: FBT001 -- a condition, not an option
    if not holds:
        raise StoryBroken(what)
