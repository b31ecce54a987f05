"""Checks of what a pit is made up of; limits: fixtures/reference/plausibility.csv."""

from decimal import Decimal

import pytest

from surveys.checks.policy import decide
from surveys.checks.registry import run_programme
from surveys.visits.facts import PitFacts
from tests.surveys.checks.visits import (
    around,
    drench,
    faults,
    hand_sort,
    kit,
    pit,
    responses,
    soil,
    visit,
)

ANECIC = "VALIDATION_ANECICADULTS_LIKELY"
SHARE = "VALIDATION_ADULTSHARE_LIKELY"
MOISTURE = "VALIDATION_SOILMOISTURE_SUITABLE"


def codes(label: str, *pits: PitFacts) -> list[str]:
    return [one.code for one in responses(label, visit(pits=pits), around()) if one.code]


@pytest.mark.parametrize(
    ("sorted_out", "expelled", "side_cm", "found"),
    [
        (8, 0, 20, []),
        (9, 0, 20, ["anecic-adults-unusual"]),
        (4, 5, 20, ["anecic-adults-unusual"]),
        (9, 0, 25, []),  # 200 per m2 are 12.5 in 0.0625 m2
        (13, 0, 25, ["anecic-adults-unusual"]),
    ],
)
def test_deep_burrowers_are_judged_by_the_area_over_all_steps(
    sorted_out: int, expelled: int, side_cm: int, found: list[str]
) -> None:
    side = Decimal(side_cm)
    phases = (hand_sort(0, 0, sorted_out, 20), drench(0, 0, expelled, 0))

    assert codes(ANECIC, pit(width_cm=side, length_cm=side, phases=phases)) == found


@pytest.mark.parametrize(
    ("adults", "young", "found"),
    [
        (8, 2, []),
        (9, 1, ["adult-share-unusual"]),
        (9, 0, []),
        (40, 10, []),
        (41, 9, ["adult-share-unusual"]),
    ],
)
def test_adults_above_four_fifths_of_enough_animals_are_asked_about(
    adults: int, young: int, found: list[str]
) -> None:
    assert codes(SHARE, pit(phases=(hand_sort(0, adults, 0, young),))) == found


def test_share_is_not_judged_where_a_kit_counts_adults_only() -> None:
    whole = kit()
    adults = tuple(line for line in whole.categories if line.stage == "adult")
    known = around(protocol=whole.model_copy(update={"categories": adults}))

    (response,) = responses(SHARE, visit(pits=(pit(phases=(hand_sort(0, 20, 0, 0),)),)), known)

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("dry", ["soil-moisture-unsuitable"]),
        ("waterlogged", ["soil-moisture-unsuitable"]),
        ("moist", []),
        ("wet", []),
    ],
)
def test_dry_and_waterlogged_soil_is_noted(word: str, found: list[str]) -> None:
    assert codes(MOISTURE, pit(soil=(soil("moisture", word, "squeeze"),))) == found


@pytest.mark.parametrize("label", [ANECIC, SHARE, MOISTURE])
def test_pit_that_says_nothing_cannot_be_judged(label: str) -> None:
    blank = pit(phases=(hand_sort(None, None, None, None),), soil=())

    (response,) = responses(label, visit(pits=(blank,)), around())

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


def test_each_asks_and_holds_nothing_back() -> None:
    odd = pit(phases=(hand_sort(0, 2, 9, 0),), soil=(soil("moisture", "dry", "squeeze"),))
    findings = run_programme(visit(pits=(odd, pit(2))), around())

    assert set(faults(findings)) == {ANECIC, SHARE, MOISTURE}
    assert {decide(one) for one in findings if one.response.is_fault} == {"note"}
    told = faults(findings)[ANECIC]
    assert (told.pointer, told.arguments["received"], told.arguments["expected"]) == (
        "/pits/0/phases",
        "9",
        "8",
    )
