"""Turn a resolved visit into facts; every line of the protocol gets one of three states."""

from surveys.intake.payload import NOT_LOOKED_FOR, CountIn, PhaseIn, PitIn, SoilIn
from surveys.intake.resolving import Resolved
from surveys.people.models import Group
from surveys.protocol.definition import Category, PhaseRule, Protocol
from surveys.protocol.vocabulary import CountState, PhaseState, SoilProperty
from surveys.visits.facts import CountFacts, PhaseFacts, PitFacts, SoilFacts, VisitFacts


def visit_facts(resolved: Resolved, group: Group) -> VisitFacts:
    """Return the facts of a visit as sent."""
    visit, placement = resolved.visit, resolved.placement
    return VisitFacts(
        client_ref=visit.client_ref,
        group_code=group.code,
        participant_code=visit.participant,
        site_code=placement.code,
        place_kind=placement.place_kind,
        latitude=placement.latitude,
        longitude=placement.longitude,
        uncertainty_m=placement.uncertainty_m,
        placed_by_hand=placement.placed_by_hand,
        visited_on=visit.visited_on,
        people_digging=visit.people_digging,
        note=visit.note,
        pits=tuple(
            _pit(number, pit, resolved.protocol) for number, pit in enumerate(visit.pits, start=1)
        ),
    )


def _pit(number: int, pit: PitIn, protocol: Protocol) -> PitFacts:
    sent = {phase.kind: phase for phase in pit.phases}
    return PitFacts(
        number=number,
        habitat=pit.habitat,
        management=tuple(pit.management) if isinstance(pit.management, list) else None,
        management_unknown=pit.management == "not_known",
        width_cm=pit.width_cm,
        length_cm=pit.length_cm,
        depth_cm=pit.depth_cm,
        sorting_minutes=pit.sorting_minutes,
        sorted_to_end=pit.sorted_to_end,
        total=pit.total,
        latitude=pit.latitude,
        longitude=pit.longitude,
        phases=tuple(_phase(rule, sent.get(rule.kind), protocol) for rule in protocol.phases),
        soil=tuple(_soil(pit.soil)),
    )


def _phase(rule: PhaseRule, sent: PhaseIn | None, protocol: Protocol) -> PhaseFacts:
    state = _phase_state(rule, sent)
    lines = {} if sent is None else {(c.group, c.stage, c.taxon): c for c in sent.counts}
    done = sent is not None and state == PhaseState.DONE
    return PhaseFacts(
        kind=rule.kind.value,
        state=state.value,
        agent=sent.agent if done and sent else "",
        volume_ml=sent.volume_ml if done and sent else None,
        wait_min=sent.wait_min if done and sent else None,
        counts=tuple(
            _count(line, lines.get((line.group, line.stage, line.taxon)), state)
            for line in protocol.categories
        ),
    )


def _phase_state(rule: PhaseRule, sent: PhaseIn | None) -> PhaseState:
    if not rule.performed:
        return PhaseState.NOT_DONE
    if sent is None or sent.done is None:
        return PhaseState.NOT_ENTERED
    return PhaseState.DONE if sent.done else PhaseState.NOT_DONE


def _count(line: Category, sent: CountIn | None, phase: PhaseState) -> CountFacts:
    if phase == PhaseState.NOT_DONE or (sent and sent.number == NOT_LOOKED_FOR):
        state, number = CountState.NOT_LOOKED_FOR, None
    elif sent is not None and isinstance(sent.number, int):
        state, number = CountState.COUNTED, sent.number
    else:
        state, number = CountState.NOT_ENTERED, None
    return CountFacts(line.group.value, line.stage.value, line.taxon, state.value, number)


def _soil(soil: SoilIn) -> list[SoilFacts]:
    methods = {
        SoilProperty.MOISTURE: "squeeze",
        SoilProperty.FIZZ: soil.fizz_acid or "",
        SoilProperty.TEXTURE: soil.texture_key,
        SoilProperty.COLOUR: soil.colour_state or "",
    }
    return [_observation(name, getattr(soil, name.value), how) for name, how in methods.items()]


def _observation(name: SoilProperty, value: str | None, method: str) -> SoilFacts:
    if value is None:
        return SoilFacts(name.value, CountState.NOT_ENTERED.value, "", "")
    if value == NOT_LOOKED_FOR:
        return SoilFacts(name.value, CountState.NOT_LOOKED_FOR.value, "", "")
    return SoilFacts(name.value, CountState.COUNTED.value, str(value), method)
