"""A drawn visit as the very JSON that a group sends."""

import json
import math
from typing import Any

from portal.demo.counts import Line, PitDrawn, distance_m, draw_pit, ground_words
from portal.demo.places import Place, moved
from portal.demo.region import GROUNDS
from portal.demo.soil import soil_of
from portal.demo.streams import stream
from portal.demo.visits import SCHOOL_KIT, SPECIES_KIT, Outing, sorting_minutes

Payload = dict[str, Any]
TIMED_KITS = {"contrast-pit/2", SPECIES_KIT}  # their form asks for minutes and the end of sorting
SIZE_CM = {SPECIES_KIT: (25, 25, 30)}
USUAL_SIZE_CM = (20, 20, 20)
DRENCH = {
    SPECIES_KIT: {"agent": "allyl isothiocyanate solution", "volume_ml": 1000, "wait_min": 10}
}
USUAL_DRENCH = {"agent": "mustard water", "volume_ml": 500, "wait_min": 5}
NOTE_SHARE = 0.2
NOTES = (
    "Light rain in the morning, sun later.",
    "Many fine roots in the upper half.",
    "Sorted twice, on a white sheet.",
    "Hard to dig below the first ten centimetres.",
    "Two empty shells of snails and one millipede seen.",
    "Soil sticky, so sorting took long.",
)
MANAGEMENT_UNKNOWN = {"hedge": 0.3}


def payload_of(outing: Outing) -> Payload:
    """Return a visit as it would be sent without any mistake."""
    return {
        "client_ref": outing.ref,
        "protocol": outing.kit,
        "participant": outing.recorder.code,
        "site": site_of(outing.place),
        "visited_on": outing.visited_on.isoformat(),
        "people_digging": outing.people_digging,
        "note": _note(outing),
        "pits": [_pit(outing, place, ground) for place, ground in enumerate(outing.grounds)],
    }


def body_of(payloads: list[Payload]) -> bytes:
    """Return a batch as bytes."""
    return json.dumps({"visits": payloads}, ensure_ascii=False, indent=1).encode()


def site_of(place: Place) -> Payload:
    """Return the site part of a payload."""
    return {
        "code": place.code,
        "latitude": place.latitude,
        "longitude": place.longitude,
        "uncertainty_m": place.uncertainty_m,
        "placed_by_hand": place.placed_by_hand,
        "place_kind": place.place_kind,
        "place_detail": place.place_detail,
    }


def found_in(pit: Payload) -> int:
    """Return the animals counted in a pit of a payload, over all steps."""
    numbers = (count["number"] for phase in pit["phases"] for count in phase["counts"])
    return sum(number for number in numbers if isinstance(number, int))


def _note(outing: Outing) -> str:
    rng = stream(outing.seed, outing.ref, "note")
    return rng.choice(NOTES) if rng.random() < NOTE_SHARE else ""


def _pit(outing: Outing, place: int, ground: str) -> Payload:
    pit = draw_pit(outing, ground)
    width_cm, length_cm, depth_cm = SIZE_CM.get(outing.kit, USUAL_SIZE_CM)
    timed = outing.kit in TIMED_KITS
    latitude, longitude = _position(outing, place)
    return {
        "habitat": GROUNDS[ground].habitat,
        "management": _management(outing, pit),
        "width_cm": width_cm,
        "length_cm": length_cm,
        "depth_cm": depth_cm,
        "sorting_minutes": sorting_minutes(outing, ground) if timed else None,
        "sorted_to_end": True if timed or pit.found == 0 else None,
        "total": pit.found,
        "latitude": latitude,
        "longitude": longitude,
        "phases": _phases(outing, pit),
        "soil": soil_of(outing, pit),
    }


def _position(outing: Outing, place: int) -> tuple[float, float]:
    here = (outing.place.latitude, outing.place.longitude)
    if place == 0:
        return here
    bearing = stream(outing.seed, outing.ref, "bearing").uniform(0, math.tau)
    return moved(*here, distance_m(outing), bearing)


def _management(outing: Outing, pit: PitDrawn) -> list[str] | str:
    rng = stream(outing.seed, outing.ref, pit.ground, "management")
    if rng.random() < MANAGEMENT_UNKNOWN.get(pit.ground, 0.0):
        return "not_known"
    return ground_words(pit)


def _phases(outing: Outing, pit: PitDrawn) -> list[Payload]:
    phases: list[Payload] = [
        {"kind": "hand_sort", "done": True, "counts": _counts(pit.written["hand_sort"])}
    ]
    if outing.kit == SCHOOL_KIT:
        return phases
    if not outing.poured:
        return [*phases, {"kind": "expellant", "done": False, "counts": []}]
    drench = DRENCH.get(outing.kit, USUAL_DRENCH)
    counts = _counts(pit.written["expellant"])
    return [*phases, {"kind": "expellant", "done": True, **drench, "counts": counts}]


def _counts(lines: dict[Line, int]) -> list[Payload]:
    return [
        {"group": group, "stage": stage, **({"taxon": taxon} if taxon else {}), "number": number}
        for (group, stage, taxon), number in lines.items()
    ]
