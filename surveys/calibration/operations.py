"""Store trials of the measuring."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction

from surveys.audit.operations import record
from surveys.calibration.models import CalibrationLine, CalibrationTrial, TrialKind
from surveys.people.models import Group, Participant
from surveys.protocol.models import ProtocolVersion


class NotOneGroup(Exception):  # noqa: N818 -- reads as what happened
    """The observers of a trial belong to different groups."""


class TrialDiffers(Exception):  # noqa: N818 -- reads as what happened
    """A trial is stored under this reference with other content."""


@dataclass(frozen=True)
class LineFacts:
    """A group and stage with the number known, or found first, and the number observed."""

    group: str
    stage: str
    known: int
    observed: int


@dataclass(frozen=True)
class TrialFacts:
    """What is recorded of a trial; without a first observer the numbers were known."""

    client_ref: str
    protocol: ProtocolVersion
    step: str
    observer: Participant
    held_on: date
    lines: tuple[LineFacts, ...]
    first_observer: Participant | None = None


@transaction.atomic
def take_trial(*, facts: TrialFacts, at: datetime) -> tuple[CalibrationTrial, bool]:
    """Store a trial once; return it, and whether it is new.

    Raises
    ------
    TrialDiffers
        If the reference is stored with other content; a trial is never changed.
    """
    group = Group.objects.select_for_update().get(pk=facts.observer.group_id)  # one at a time
    stored = group.trials.filter(client_ref=facts.client_ref).first()
    if stored is None:
        return record_trial(facts=facts, at=at), True
    if _facts_of(stored) != replace(facts, lines=_in_order(facts.lines)):
        msg = (
            f"The trial {facts.client_ref} is stored already with other content, and a trial is "
            "never changed. Send the new one under its own client_ref."
        )
        raise TrialDiffers(msg)
    return stored, False


@transaction.atomic
def record_trial(*, facts: TrialFacts, at: datetime) -> CalibrationTrial:
    """Store a trial with its lines.

    Raises
    ------
    NotOneGroup
        If the observers belong to different groups.
    """
    group, first = facts.observer.group, facts.first_observer
    if first is not None and first.group_id != group.pk:
        msg = "Both observers of a trial belong to the group that sends it."
        raise NotOneGroup(msg)
    trial = CalibrationTrial.objects.create(
        group=group,
        client_ref=facts.client_ref,
        kind=TrialKind.KNOWN_NUMBERS if first is None else TrialKind.TWO_OBSERVERS,
        protocol=facts.protocol,
        step=facts.step,
        observer=facts.observer,
        first_observer=first,
        held_on=facts.held_on,
        recorded_at=at,
    )
    CalibrationLine.objects.bulk_create(_lines(trial, facts.lines))
    record(
        actor=f"group {group.code}",
        action="trial recorded",
        kind="trial",
        key=f"{group.code}/{facts.client_ref}",
        at=at,
    )
    return trial


def _lines(trial: CalibrationTrial, lines: Iterable[LineFacts]) -> list[CalibrationLine]:
    return [
        CalibrationLine(
            trial=trial,
            group=line.group,
            stage=line.stage,
            known=line.known,
            observed=line.observed,
        )
        for line in lines
    ]


def _facts_of(trial: CalibrationTrial) -> TrialFacts:
    lines = (
        LineFacts(line.group, line.stage, line.known, line.observed) for line in trial.lines.all()
    )
    return TrialFacts(
        client_ref=trial.client_ref,
        protocol=trial.protocol,
        step=trial.step,
        observer=trial.observer,
        held_on=trial.held_on,
        lines=_in_order(lines),
        first_observer=trial.first_observer,
    )


def _in_order(lines: Iterable[LineFacts]) -> tuple[LineFacts, ...]:
    return tuple(sorted(lines, key=lambda line: (line.group, line.stage)))
