"""The facts of a stored visit, as intake built them from what was sent."""

from surveys.visits.facts import CountFacts, PhaseFacts, PitFacts, SoilFacts, VisitFacts
from surveys.visits.models import Phase, Pit, Visit


def facts_of(visit: Visit) -> VisitFacts:
    """Return the facts of a visit's newest revision."""
    pits = visit.current_pits().prefetch_related("phases__counts", "soil")
    site = visit.site
    return VisitFacts(
        client_ref=visit.client_ref,
        group_code=visit.group.code,
        participant_code=visit.participant.code,
        site_code=site.code,
        place_kind=site.place_kind,
        latitude=site.latitude,
        longitude=site.longitude,
        uncertainty_m=site.uncertainty_m,
        placed_by_hand=site.placed_by_hand,
        visited_on=visit.visited_on,
        people_digging=visit.people_digging,
        note=visit.note,
        pits=tuple(_pit(pit) for pit in pits),
    )


def _pit(pit: Pit) -> PitFacts:
    return PitFacts(
        number=pit.number,
        habitat=pit.habitat,
        management=None if pit.management is None else tuple(pit.management),
        management_unknown=pit.management_unknown,
        width_cm=pit.width_cm,
        length_cm=pit.length_cm,
        depth_cm=pit.depth_cm,
        sorting_minutes=pit.sorting_minutes,
        sorted_to_end=pit.sorted_to_end,
        total=pit.total,
        latitude=pit.latitude,
        longitude=pit.longitude,
        phases=tuple(_phase(phase) for phase in pit.phases.all()),
        soil=tuple(SoilFacts(s.name, s.state, s.value, s.method) for s in pit.soil.all()),
    )


def _phase(phase: Phase) -> PhaseFacts:
    return PhaseFacts(
        kind=phase.kind,
        state=phase.state,
        agent=phase.agent,
        volume_ml=phase.volume_ml,
        wait_min=phase.wait_min,
        counts=tuple(
            CountFacts(c.group, c.stage, c.taxon, c.state, c.number) for c in phase.counts.all()
        ),
    )
