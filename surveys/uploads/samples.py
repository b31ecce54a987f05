"""Visits that are right in every field: a sample of what to send under a protocol version."""

from datetime import date
from typing import Any

from surveys.people.models import Group
from surveys.protocol.definition import PhaseRule, Protocol

SAMPLES = 2
DEGREES_APART = 0.01
ALL_DECIMALS = 0.00123  # a position of a device has five
_FIRST_COUNTS = (2, 4, 1, 5)  # then zeros


def sample_visits(protocol: Protocol, group: Group) -> list[dict[str, Any]]:
    """Return sample visits of a group: invented, in the middle of its region, ready to rehearse.

    They name the group's first participant, since a visit needs one that is registered.
    """
    participant = group.participants.order_by("id").first()
    code = "PARTICIPANT-1" if participant is None else participant.code
    return [_visit(number, protocol, group, code) for number in range(1, SAMPLES + 1)]


def _visit(number: int, protocol: Protocol, group: Group, participant: str) -> dict[str, Any]:
    latitude = float(group.south + group.north) / 2 + number * DEGREES_APART + ALL_DECIMALS
    longitude = float(group.west + group.east) / 2 + ALL_DECIMALS
    return {
        "client_ref": f"SAMPLE-{number}",
        "protocol": protocol.name,
        "participant": participant,
        "site": {
            "code": f"SAMPLE-{number}",
            "latitude": round(latitude, 5),
            "longitude": round(longitude, 5),
            "uncertainty_m": 5.5,
            "place_kind": "public_green",
        },
        "visited_on": _in_season(protocol).isoformat(),
        "people_digging": 2,
        "note": "Sample: replace or delete this row.",
        "pits": [
            _pit(habitat, protocol)
            for habitat in ("lawn", "flower bed", "hedge", "orchard")[: protocol.pit.pits_per_visit]
        ],
    }


def _in_season(protocol: Protocol) -> date:
    """Return a day in the season, from the day on which the version came into use."""
    start = protocol.valid_from
    month = min((m for m in protocol.checks.season_months if m >= start.month), default=None)
    if month is None:
        return date(start.year + 1, min(protocol.checks.season_months), 15)
    return max(start, date(start.year, month, 15))


def _pit(habitat: str, protocol: Protocol) -> dict[str, Any]:
    phases = [_phase(rule, protocol) for rule in protocol.phases if rule.performed]
    numbers = [count["number"] for phase in phases for count in phase["counts"]]
    size = protocol.pit
    return {
        "habitat": habitat,
        "management": ["mown"] if habitat == "lawn" else [],
        "width_cm": float(size.width_cm),
        "length_cm": float(size.length_cm),
        "depth_cm": float(size.depth_cm),
        "sorting_minutes": 20,
        "sorted_to_end": True,
        "total": sum(numbers),
        "phases": phases,
        "soil": {"moisture": "moist", "texture": "loam"},
    }


def _phase(rule: PhaseRule, protocol: Protocol) -> dict[str, Any]:
    is_first = rule.kind == protocol.phases[0].kind
    numbers = _FIRST_COUNTS if is_first else ()
    phase: dict[str, Any] = {
        "kind": rule.kind.value,
        "done": True,
        "counts": [
            {
                "group": line.group.value,
                "stage": line.stage.value,
                "taxon": line.taxon,
                "number": numbers[at] if at < len(numbers) else 0,
            }
            for at, line in enumerate(protocol.categories)
        ],
    }
    poured = {"agent": rule.agent, "volume_ml": rule.volume_ml, "wait_min": rule.wait_min}
    return phase | ({name: value for name, value in poured.items() if value} if rule.agent else {})
