"""Tie a well-formed trial to what is known: protocol, step, lines and observers."""

from collections.abc import Iterator
from datetime import date

from surveys.calibration.models import TrialKind
from surveys.calibration.operations import LineFacts, TrialFacts
from surveys.calibration.payload import TrialIn
from surveys.intake.faults import Fault
from surveys.people.models import Group, Participant
from surveys.protocol.definition import Protocol
from surveys.protocol.queries import protocol_named, protocol_names

RESERVED = "results"  # the address of what follows from the trials


def resolve_trial(
    sent: TrialIn, group: Group, today: date
) -> tuple[TrialFacts | None, list[Fault]]:
    """Return the trial with what it names, or nothing and every fault found."""
    version = protocol_named(sent.protocol)
    observer = _participant(sent.observer, group)
    first = _participant(sent.first_observer, group)
    faults = [*_unknown_people(sent, observer, first), *_wrong_day(sent, today), *_twice(sent)]
    faults += [*_wrong_first(sent), *_reserved(sent)]
    if version is None:
        faults.append(_unknown_protocol(sent))
    else:
        faults += _not_of_protocol(sent, version.read())
    if version is None or observer is None or faults:
        return None, faults
    return TrialFacts(
        client_ref=sent.client_ref,
        protocol=version,
        step=sent.step.value,
        observer=observer,
        first_observer=first,
        held_on=sent.held_on,
        lines=tuple(
            LineFacts(line.group.value, line.stage.value, line.known, line.observed)
            for line in sent.lines
        ),
    ), []


def _reserved(sent: TrialIn) -> Iterator[Fault]:
    if sent.client_ref == RESERVED:
        message = "This word is an address of its own."
        yield Fault("/client_ref", "value-not-allowed", "error", message, sent.client_ref)


def _participant(code: str | None, group: Group) -> Participant | None:
    return group.participants.filter(code=code).first()


def _unknown_people(
    sent: TrialIn, observer: Participant | None, first: Participant | None
) -> Iterator[Fault]:
    code, message = "participant-unknown", "Your group has no participant with this code."
    if observer is None:
        yield Fault("/observer", code, "error", message, sent.observer)
    if sent.first_observer is not None and first is None:
        yield Fault("/first_observer", code, "error", message, sent.first_observer)


def _wrong_first(sent: TrialIn) -> Iterator[Fault]:
    message = ""
    if sent.kind is TrialKind.KNOWN_NUMBERS and sent.first_observer is not None:
        message = "Where the numbers were known there is no first observer."
    elif sent.kind is TrialKind.TWO_OBSERVERS and sent.first_observer is None:
        message = "A trial of two observers names the first one."
    elif sent.first_observer == sent.observer:
        message = "The two observers are two people."
    if message:
        yield Fault("/first_observer", "value-not-allowed", "error", message, sent.first_observer)


def _wrong_day(sent: TrialIn, today: date) -> Iterator[Fault]:
    if sent.held_on > today:
        message = "The trial lies in the future."
        yield Fault(
            "/held_on", "value-not-allowed", "error", message, str(sent.held_on), f"up to {today}"
        )


def _twice(sent: TrialIn) -> Iterator[Fault]:
    seen = set()
    for index, line in enumerate(sent.lines):
        key = f"{line.group.value} {line.stage.value}"
        if key in seen:
            message = "The same group and stage stand twice in the trial."
            yield Fault(f"/lines/{index}", "line-twice", "error", message, key)
        seen.add(key)


def _unknown_protocol(sent: TrialIn) -> Fault:
    message = "No such protocol version."
    allowed = ", ".join(protocol_names())
    return Fault("/protocol", "protocol-unknown", "error", message, sent.protocol, allowed)


def _not_of_protocol(sent: TrialIn, protocol: Protocol) -> Iterator[Fault]:
    steps = [rule.kind.value for rule in protocol.phases if rule.performed]
    if sent.step.value not in steps:
        message = f"{protocol.name} has no such step."
        allowed = ", ".join(steps)
        yield Fault("/step", "phase-not-in-protocol", "error", message, sent.step.value, allowed)
    counted = {f"{group} {stage}" for group, stage, _ in protocol.category_keys()}
    for index, line in enumerate(sent.lines):
        key = f"{line.group.value} {line.stage.value}"
        if key not in counted:
            message = f"{protocol.name} does not count this group and stage."
            allowed = "; ".join(sorted(counted))
            yield Fault(f"/lines/{index}", "line-not-in-protocol", "error", message, key, allowed)
