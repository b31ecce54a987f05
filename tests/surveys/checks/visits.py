"""Invented visits for tests: a sound one, and how to change a part of it."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from surveys.checks.registry import Finding, programme_checks
from surveys.checks.response import Response
from surveys.protocol.definition import Protocol, library
from surveys.visits.facts import (
    Box,
    CountFacts,
    PhaseFacts,
    PitFacts,
    SoilFacts,
    Surroundings,
    VisitFacts,
)

PROTOCOLS = {protocol.name: protocol for protocol in library()}
REGION = Box(Decimal("-0.90"), Decimal("52.60"), Decimal("-0.30"), Decimal("52.95"))
MEETING_POINT = (Decimal("52.70123"), Decimal("-0.48231"))


def kit(name: str = "contrast-pit/2") -> Protocol:
    return PROTOCOLS[name]


def count(group: str, number: int | None, stage: str = "adult", taxon: str = "") -> CountFacts:
    state = "not_entered" if number is None else "counted"
    return CountFacts(group, stage, taxon, state, number)


def counts(*numbers: int | None) -> tuple[CountFacts, ...]:
    """Epigeic, endogeic and anecic adults, then juveniles."""
    groups = ("epigeic", "endogeic", "anecic", "unassigned")
    stages = ("adult", "adult", "adult", "juvenile")
    return tuple(
        count(group, number, stage)
        for group, stage, number in zip(groups, stages, numbers, strict=True)
    )


def hand_sort(*numbers: int | None) -> PhaseFacts:
    return PhaseFacts("hand_sort", "done", "", None, None, counts(*numbers))


def drench(*numbers: int | None, **changes: Any) -> PhaseFacts:
    poured = PhaseFacts("expellant", "done", "mustard water", 500, 5, counts(*numbers))
    return replace(poured, **changes)


def not_poured() -> PhaseFacts:
    lines = tuple(replace(line, state="not_looked_for", number=None) for line in counts(0, 0, 0, 0))
    return PhaseFacts("expellant", "not_done", "", None, None, lines)


def soil(name: str, value: str, method: str = "") -> SoilFacts:
    return SoilFacts(name, "counted", value, method)


def pit(number: int = 1, **changes: Any) -> PitFacts:
    sound = PitFacts(
        number=number,
        habitat="lawn" if number == 1 else "hedge",
        management=(),
        management_unknown=False,
        width_cm=Decimal(20),
        length_cm=Decimal(20),
        depth_cm=Decimal(20),
        sorting_minutes=16,
        sorted_to_end=True,
        total=None,
        latitude=None,
        longitude=None,
        phases=(hand_sort(1, 3, 0, 4), drench(0, 0, 1, 0)),
        soil=(soil("moisture", "moist", "squeeze"), soil("colour", "10YR 3/2", "moist")),
    )
    return replace(sound, **changes)


def visit(**changes: Any) -> VisitFacts:
    sound = VisitFacts(
        client_ref="QVD-S01",
        group_code="QVD",
        participant_code="QVD-07",
        site_code="QVD-07-1",
        place_kind="private_garden",
        latitude=Decimal("52.88123"),
        longitude=Decimal("-0.72345"),
        uncertainty_m=5.0,
        placed_by_hand=False,
        visited_on=date(2025, 4, 12),
        people_digging=2,
        note="Damp after two days of drizzle, many roots.",
        pits=(pit(1), pit(2)),
    )
    return replace(sound, **changes)


def around(**changes: Any) -> Surroundings:
    usual = Surroundings(
        protocol=kit(),
        received_on=date(2025, 4, 14),
        region=REGION,
        meeting_point=MEETING_POINT,
        roster_names=("Tamsin Oddwell", "Rose Field", "Björn Ängström"),
    )
    return replace(usual, **changes)


def responses(label: str, subject: VisitFacts, surroundings: Surroundings) -> list[Response]:
    (known,) = [known for known in programme_checks() if known.label == label]
    return [finding.response for finding in known.findings(subject, surroundings)]


def faults(findings: list[Finding]) -> dict[str, Response]:
    """Return by label what found a fault or proposes a change."""
    return {
        finding.label: finding.response
        for finding in findings
        if finding.response.is_fault or finding.response.is_proposal
    }
