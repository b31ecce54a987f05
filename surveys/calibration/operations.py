"""Store trials of the measuring."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from surveys.audit.operations import record
from surveys.calibration.models import CalibrationLine, CalibrationTrial, TrialKind
from surveys.people.models import Participant
from surveys.protocol.models import ProtocolVersion


class NotOneGroup(Exception):  # noqa: N818 -- reads as what happened
    """The observers of a trial belong to different groups."""


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
