"""Turn a private visit into the columns of its published rows; nothing private passes."""

import calendar
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypedDict
from uuid import UUID

from django.conf import settings

from portal.archive.absence import judge
from portal.archive.edition import Edition
from portal.blurring import GeneralisationRules, PublicPlace, lies_within
from portal.blurring.rules import DAY, MONTH
from portal.publication.naming import Recorder
from portal.publication.wording import AS_RECORDED, Wording, reworded
from portal.records.models import PublishedCount
from surveys.protocol.definition import Protocol
from surveys.protocol.vocabulary import CountState, PhaseKind, PhaseState, SoilProperty
from surveys.visits.models import Count, Phase, Pit, SoilObservation, Visit

CHECKED = "plausibility checked"
DETERMINED = "verified by specialist"
_SEASONS = ("winter", "spring", "summer", "autumn")
Columns = dict[str, Any]


class _Days(TypedDict):
    sampled_on: str
    sampled_first_on: date
    sampled_last_on: date
    date_precision: str


@dataclass(frozen=True)
class Context:
    """What the rows of one visit need beside the visit."""

    place: PublicPlace
    protocol: Protocol
    group_code: str | None
    edition: Edition
    recorder: Recorder | None = None
    wording: Wording = field(default_factory=lambda: AS_RECORDED)
    rules: GeneralisationRules = field(default_factory=GeneralisationRules)


def visit_columns(visit: Visit, pits: list[Pit], context: Context) -> Columns:
    """Return the columns that a visit shares with its pits and counts."""
    place = context.place
    return {
        "visit_id": _public(visit.public_id),
        "site_id": _public(visit.site.public_id),
        "group_code": context.group_code,
        **_days(visit.visited_on, context.rules.date_precisions[visit.site.place_kind]),
        "season": season(visit.visited_on, southern=bool(place.latitude and place.latitude < 0)),
        "protocol": str(visit.protocol),
        "paired": len({_use_of(pit) for pit in pits}) == len(pits) > 1,
        "people_digging": visit.people_digging,
        "recorded_by": context.recorder.name if context.recorder else None,
        "recorded_by_id": context.recorder.address if context.recorder else None,
        "country_code": _country(place),
        "latitude": _float(place.latitude),
        "longitude": _float(place.longitude),
        "cell": place.cell,
        "cell_level": place.level,
        "uncertainty_m": place.uncertainty_m,
        "precision_deg": _float(place.precision_deg),
        "footprint_wkt": place.footprint_wkt,
        "georeference_protocol": place.georeference_protocol,
        "data_generalizations": place.data_generalizations,
        "information_withheld": place.information_withheld,
        "verification": CHECKED,
        "remarks": visit.note if visit.note_approved else "",
    }


def pit_columns(pit: Pit, wording: Wording = AS_RECORDED) -> Columns:
    """Return the columns that a pit adds; words that too few hold are told more coarsely."""
    management = _management(pit, wording)
    phases = {phase.kind: phase for phase in pit.phases.all()}
    soil = {observation.name: observation for observation in pit.soil.all()}
    expellant = phases.get(PhaseKind.EXPELLANT)
    return {
        "pit_id": _public(pit.public_id),
        "habitat": habitat_of(pit, wording),
        "management": management,
        "management_text": filter_text(management or []),
        "management_state": _management_state(pit),
        "width_cm": float(pit.width_cm),
        "length_cm": float(pit.length_cm),
        "depth_cm": float(pit.depth_cm),
        "area_m2": float(pit.width_cm * pit.length_cm / 10000),
        "sorting_minutes": pit.sorting_minutes,
        "sorted_to_end": pit.sorted_to_end,
        "hand_sort": _phase_state(phases.get(PhaseKind.HAND_SORT)),
        "expellant": _phase_state(expellant),
        "expellant_agent": (expellant.agent or None) if expellant else None,
        "expellant_ml": expellant.volume_ml if expellant else None,
        "expellant_wait_min": expellant.wait_min if expellant else None,
        "effort_known": all(phase.state != PhaseState.NOT_ENTERED for phase in phases.values()),
        **_soil_columns(soil),
    }


def habitat_of(pit: Pit, wording: Wording) -> str:
    """Return the published habitat of a pit."""
    return reworded([pit.habitat], wording.get("habitat", {}))[0]


def found_in(pit: Pit) -> int | None:
    """Return the animals of a pit over all steps, or nothing if no line was counted."""
    numbers = [number for phase in pit.phases.all() for number in _numbers(phase)]
    return sum(numbers) if numbers else None


def step_columns(phase: Phase, shared: Columns, context: Context) -> list[Columns]:
    """Return the columns of each line of a step, its pit's among them, judged side by side."""
    lines = [
        shared | count_columns(count, phase, context.protocol) | {"id": count.public_id}
        for count in phase.counts.all()
    ]
    rows = [PublishedCount(**line) for line in lines]
    judge(context.edition, rows)
    return [
        line | {"occurrence_status": row.occurrence_status}
        for line, row in zip(lines, rows, strict=True)
    ]


def count_columns(count: Count, phase: Phase, protocol: Protocol) -> Columns:
    """Return the columns that a count adds; the recorder's number stays beside the last one."""
    determinations = list(count.determinations.all())
    return {
        "phase_id": _public(phase.public_id),
        "method": phase.kind,
        "group": count.group,
        "stage": count.stage,
        "taxon": count.taxon or None,
        "coarse_taxon": protocol.coarse_taxon.name,
        "state": count.state,
        "number": last_number(count),
        "number_recorded": count.number,
        "verification": DETERMINED if determinations else CHECKED,
    }


def last_number(count: Count) -> int | None:
    """Return the number of the last determination, else the recorder's."""
    determinations = list(count.determinations.all())
    return determinations[-1].number if determinations else count.number


def filter_text(words: Sequence[str]) -> str:
    """Return words so that a whole one can be found by text: ``|lawn|hedge|``."""
    return f"|{'|'.join(sorted(words))}|" if words else ""


def season(day: date, *, southern: bool) -> str:
    """Return the meteorological season of a day."""
    quarter = day.month % 12 // 3
    return _SEASONS[(quarter + 2) % 4 if southern else quarter]


def _numbers(phase: Phase) -> list[int]:
    last = (last_number(count) for count in phase.counts.all())
    return [number for number in last if number is not None]


def _days(day: date, precision: str) -> _Days:
    """Return the published day, or only its month."""
    if precision == DAY:
        return _Days(
            sampled_on=day.isoformat(),
            sampled_first_on=day,
            sampled_last_on=day,
            date_precision=DAY,
        )
    last = calendar.monthrange(day.year, day.month)[1]
    return _Days(
        sampled_on=f"{day:%Y-%m}",
        sampled_first_on=day.replace(day=1),
        sampled_last_on=day.replace(day=last),
        date_precision=MONTH,
    )


def _use_of(pit: Pit) -> tuple[str, ...]:
    return (pit.habitat, *sorted(pit.management or ()))


def _country(place: PublicPlace) -> str | None:
    inside = lies_within(place.bounds, settings.DATASET["country_box"])
    return settings.DATASET["country_code"] or None if inside else None


def _management(pit: Pit, wording: Wording) -> list[str] | None:
    if pit.management is None:
        return None
    return sorted(set(reworded(pit.management, wording.get("management", {}))))


def _management_state(pit: Pit) -> str:
    if pit.management is not None:
        return "listed"
    return "not_known" if pit.management_unknown else CountState.NOT_ENTERED.value


def _phase_state(phase: Phase | None) -> str:
    return phase.state if phase else PhaseState.NOT_DONE.value


def _soil_columns(soil: dict[str, SoilObservation]) -> Columns:
    methods = {
        SoilProperty.FIZZ: "fizz_acid",
        SoilProperty.TEXTURE: "texture_key",
        SoilProperty.COLOUR: "colour_state",
    }
    columns: Columns = {}
    for name in SoilProperty:
        observation = soil.get(name)
        columns[name.value] = _soil_value(observation)
        if name in methods:
            columns[methods[name]] = (observation.method or None) if observation else None
    return columns


def _soil_value(observation: SoilObservation | None) -> str | None:
    """Return the class; "not looked for" keeps its own word and "not entered" is null."""
    if observation is None or observation.state == CountState.NOT_ENTERED:
        return None
    if observation.state == CountState.NOT_LOOKED_FOR:
        return CountState.NOT_LOOKED_FOR.value
    return observation.value


def _public(public_id: UUID | None) -> UUID:
    assert public_id is not None, "ids are minted before rows are made"  # noqa: S101 -- invariant
    return public_id


def _float(number: Any) -> float | None:
    return None if number is None else float(number)
