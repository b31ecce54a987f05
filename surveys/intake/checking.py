"""Read one sent visit, tie it to what is known and let the checks look at it."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from surveys.checks.operations import check_visit
from surveys.checks.policy import decide
from surveys.checks.registry import Finding
from surveys.intake.as_facts import visit_facts
from surveys.intake.faults import Fault
from surveys.intake.reading import read_visit
from surveys.intake.resolving import Resolved, resolve
from surveys.people.models import Group
from surveys.protocol.queries import checked_with
from surveys.sites.operations import keep_site
from surveys.visits.facts import VisitFacts
from surveys.visits.operations import Provenance
from surveys.visits.queries import surroundings

_SEVERITY = {"block": "error", "hold": "query", "note": "note", "propose": "note"}


@dataclass(frozen=True)
class Checked:
    """A visit that may be stored, with what the checks said."""

    resolved: Resolved
    facts: VisitFacts
    findings: list[Finding]
    sha256: str


def read_and_check(
    raw: Any, group: Group, pointer: str, at: datetime
) -> tuple[Checked | None, list[Fault]]:
    """Return the visit, or nothing, with every fault, query and note found.

    A fault of severity ``error`` means that the visit must not be stored.
    """
    visit, faults = read_visit(raw, pointer)
    if visit is None:
        return None, faults
    resolved, faults = resolve(visit, group, pointer)
    if resolved is None:
        return None, faults
    facts = visit_facts(resolved, group)
    around = surroundings(
        facts=facts,
        group=group,
        participant=resolved.participant,
        protocol=checked_with(resolved.version, at),
        received_on=at.date(),
    )
    findings = check_visit(facts, around)
    faults = [fault for finding in findings for fault in _as_fault(finding, pointer, facts)]
    return Checked(resolved, facts, findings, payload_hash(raw)), faults


def _as_fault(finding: Finding, pointer: str, facts: VisitFacts) -> Iterator[Fault]:
    severity = _SEVERITY.get(decide(finding))
    if severity is not None:
        yield Fault(
            pointer=pointer + finding.response.pointer,
            code=finding.label.lower().replace("_", "-"),
            severity=severity,
            message=finding.response.comment,
            received=finding.response.arguments.get("received"),
            allowed=finding.response.arguments.get("expected"),
            record=facts.client_ref,
            reason=finding.response.code,
            arguments=finding.response.arguments,
        )


def provenance(read: Checked, group: Group, at: datetime) -> Provenance:
    """Return where the visit came from, keeping its site; call inside a transaction."""
    return Provenance(
        group=group,
        protocol=read.resolved.version,
        participant=read.resolved.participant,
        site=keep_site(
            group=group,
            owner=read.resolved.participant,
            placement=read.resolved.placement,
            at=at,
        ),
        payload_sha256=read.sha256,
        sent_at=read.resolved.visit.sent_at,
        received_at=at,
    )


def payload_hash(raw: Any) -> str:
    """Return the hash by which a visit sent again is known to be unchanged."""
    text = json.dumps(raw, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()
