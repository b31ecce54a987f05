"""Planted mistakes before they meet the database."""

from typing import Any

import pytest

from portal.demo.faults import PLANTED, UNANSWERED
from portal.demo.payloads import Payload, payload_of
from portal.demo.region import GROUPS
from portal.demo.visits import outings
from surveys.checks.policy import PROGRAMME
from surveys.intake.reading import read_visit
from surveys.moderation.reasons import REASONS

CHECKS = {
    label.lower().replace("_", "-"): action
    for action, labels in PROGRAMME.items()
    for label in labels
}
READING = {"number-out-of-range", "number-decimal-comma", "field-unknown", "text-control-character"}


@pytest.fixture(scope="module")
def payloads() -> dict[str, Payload]:
    return {outing.ref: payload_of(outing) for outing in outings(318)}


def test_planted_visits_exist(payloads: dict[str, Payload]) -> None:
    assert set(PLANTED) <= set(payloads)
    assert set(PLANTED) >= UNANSWERED


@pytest.mark.parametrize("ref", PLANTED)
def test_mistake_is_to_be_caught_by_something_that_exists(ref: str) -> None:
    assert set(PLANTED[ref].caught_by) <= CHECKS.keys() | READING


@pytest.mark.parametrize("ref", [ref for ref, p in PLANTED.items() if p.outcome == "held"])
def test_held_mistake_has_a_check_that_holds_and_a_reason_to_ask_back(ref: str) -> None:
    planted = PLANTED[ref]

    assert "hold" in {CHECKS[code] for code in planted.caught_by}
    assert "asked_back" in REASONS[planted.reason].decisions


@pytest.mark.parametrize("ref", PLANTED)
def test_planting_leaves_the_drawn_visit_alone(ref: str, payloads: dict[str, Payload]) -> None:
    before = repr(payloads[ref])

    PLANTED[ref].spoiled(payloads[ref])
    PLANTED[ref].mended(payloads[ref])

    assert repr(payloads[ref]) == before


@pytest.mark.parametrize(
    ("ref", "pointer", "code"),
    [
        ("QVD-S12", "/pits/0/depth_cm", "number-out-of-range"),
        ("QVD-A14", "/pits/0/width_cm", "number-decimal-comma"),
        ("QVD-S15", "/photos", "field-unknown"),
        ("OPL-S09", "/note", "text-control-character"),
    ],
)
def test_mistake_in_the_shape_is_named_by_the_reading(
    ref: str, pointer: str, code: str, payloads: dict[str, Payload]
) -> None:
    visit, faults = read_visit(PLANTED[ref].spoiled(payloads[ref]), "")

    assert visit is None
    assert [(fault.pointer, fault.code) for fault in faults] == [(pointer, code)]


@pytest.mark.parametrize(
    ("ref", "path", "value"),
    [
        ("QVD-S09", ["visited_on"], "2025-05-04"),
        ("OPL-A15", ["visited_on"], "2024-08-17"),
        ("BSC-A02", ["site", "latitude"], 0.0),
        ("OPL-S14", ["site", "latitude"], float(GROUPS["OPL"].meeting_point[0])),
        ("VFR-A15", ["note"], "=1+1"),
    ],
)
def test_mistake_is_what_the_story_tells(
    ref: str, path: list[str], value: object, payloads: dict[str, Payload]
) -> None:
    part: Any = PLANTED[ref].spoiled(payloads[ref])

    for step in path:
        part = part[step]

    assert part == value


def test_swapped_axes_are_those_of_the_place(payloads: dict[str, Payload]) -> None:
    true, sent = (
        payloads["OPL-A03"]["site"],
        PLANTED["OPL-A03"].spoiled(payloads["OPL-A03"])["site"],
    )

    assert (sent["latitude"], sent["longitude"]) == (true["longitude"], true["latitude"])


def test_450_stands_for_45(payloads: dict[str, Payload]) -> None:
    planted, true = PLANTED["VFR-S06"], payloads["VFR-S06"]

    sent = planted.spoiled(true)["pits"][0]["total"] - planted.mended(true)["pits"][0]["total"]
    assert sent == 450 - 45
