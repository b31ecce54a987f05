"""Store a visit from its facts, and replace its facts on correction."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from surveys.people.models import Group, Participant, Reviewer
from surveys.protocol.models import ProtocolVersion
from surveys.sites.models import Site
from surveys.visits.facts import CountFacts, PhaseFacts, PitFacts, VisitFacts
from surveys.visits.models import (
    Count,
    Determination,
    Phase,
    Pit,
    SoilObservation,
    Visit,
    VisitState,
)


@dataclass(frozen=True)
class Provenance:
    """Where a visit's facts came from."""

    group: Group
    protocol: ProtocolVersion
    participant: Participant
    site: Site
    payload_sha256: str
    sent_at: datetime | None
    received_at: datetime


def store_visit(*, facts: VisitFacts, provenance: Provenance) -> Visit:
    """Store a new visit with its pits; call inside a transaction."""
    visit = Visit(group=provenance.group, client_ref=facts.client_ref)
    _fill(visit, facts, provenance)
    visit.save()
    _store_pits(visit, facts)
    return visit


def replace_visit(*, visit: Visit, facts: VisitFacts, provenance: Provenance) -> Visit:
    """Put corrected facts beside a visit's own as its next revision.

    The earlier revision's pits, counts and determinations stay. Public ids move to the same
    pit (by number), step and line of the new revision, so that a published record keeps its
    address.
    """
    earlier = list(visit.current_pits())
    _fill(visit, facts, provenance)
    visit.revision += 1
    visit.state = VisitState.IN_REVIEW
    visit.note_approved = False
    visit.save()
    _store_pits(visit, facts)
    _move_public_ids(earlier, visit)
    return visit


def determine(
    *, count: Count, number: int, reviewer: Reviewer, at: datetime, reason_code: str
) -> Determination:
    """Add a later count of one line; the recorder's own stays as it was."""
    return Determination.objects.create(
        count=count,
        sequence=count.determinations.count() + 1,
        number=number,
        determined_by=reviewer,
        determined_at=at,
        reason_code=reason_code,
    )


def _fill(visit: Visit, facts: VisitFacts, provenance: Provenance) -> None:
    visit.protocol = provenance.protocol
    visit.participant = provenance.participant
    visit.site = provenance.site
    visit.payload_sha256 = provenance.payload_sha256
    visit.sent_at = provenance.sent_at
    visit.received_at = provenance.received_at
    visit.visited_on = facts.visited_on
    visit.people_digging = facts.people_digging
    visit.note = facts.note


def _store_pits(visit: Visit, facts: VisitFacts) -> None:
    for pit_facts in facts.pits:
        pit = _store_pit(visit, pit_facts)
        for phase_facts in pit_facts.phases:
            _store_phase(pit, phase_facts)
        SoilObservation.objects.bulk_create(
            SoilObservation(
                pit=pit, name=soil.name, state=soil.state, value=soil.value, method=soil.method
            )
            for soil in pit_facts.soil
        )


def _store_pit(visit: Visit, facts: PitFacts) -> Pit:
    return Pit.objects.create(
        visit=visit,
        revision=visit.revision,
        number=facts.number,
        habitat=facts.habitat,
        management=None if facts.management is None else list(facts.management),
        management_unknown=facts.management_unknown,
        width_cm=facts.width_cm,
        length_cm=facts.length_cm,
        depth_cm=facts.depth_cm,
        sorting_minutes=facts.sorting_minutes,
        sorted_to_end=facts.sorted_to_end,
        total=facts.total,
        latitude=facts.latitude,
        longitude=facts.longitude,
    )


def _store_phase(pit: Pit, facts: PhaseFacts) -> None:
    phase = Phase.objects.create(
        pit=pit,
        kind=facts.kind,
        state=facts.state,
        agent=facts.agent,
        volume_ml=facts.volume_ml,
        wait_min=facts.wait_min,
    )
    Count.objects.bulk_create(_count_row(phase, count) for count in facts.counts)


def _count_row(phase: Phase, facts: CountFacts) -> Count:
    return Count(
        phase=phase,
        group=facts.group,
        stage=facts.stage,
        taxon=facts.taxon,
        state=facts.state,
        number=facts.number,
    )


def _move_public_ids(earlier: list[Pit], visit: Visit) -> None:
    kept = {key: row.public_id for key, row in _published_parts(earlier).items() if row.public_id}
    for row in _published_parts(earlier).values():
        type(row).objects.filter(pk=row.pk).update(public_id=None)
    for key, row in _published_parts(visit.current_pits()).items():
        if key in kept:
            type(row).objects.filter(pk=row.pk).update(public_id=kept[key])


def _published_parts(pits: Iterable[Pit]) -> dict[tuple[object, ...], Pit | Phase | Count]:
    parts: dict[tuple[object, ...], Pit | Phase | Count] = {}
    for pit in pits:
        parts[(pit.number,)] = pit
        for phase in pit.phases.prefetch_related("counts"):
            parts[(pit.number, phase.kind)] = phase
            for count in phase.counts.all():
                parts[(pit.number, phase.kind, count.group, count.stage, count.taxon)] = count
    return parts
