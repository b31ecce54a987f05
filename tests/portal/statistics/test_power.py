"""Numbers of visits and pits, against published formulas and a simulation of the analysis."""

import math
from typing import Any

import numpy as np
import pytest

from portal.statistics.comparison import compare_paired, compare_unpaired
from portal.statistics.power import (
    PairedDesign,
    paired_power,
    paired_visits_needed,
    paired_visits_needed_like,
    pits_for_precision,
    pits_needed_per_habitat,
    power_per_habitat,
    visit_variance,
)
from portal.statistics.samples import PitSample
from tests.reference_tables import statistics_check

GUIDE = statistics_check("how many paired visits")
TOLERANCE = 0.08  # of simulated figures, or one visit
RATIOS = ["1.25", "1.5", "2", "3"]


@pytest.fixture
def demo_design() -> PairedDesign:
    data = GUIDE["data"]  # a geometric mean of 6 per pit
    shared = visit_variance(data["person_sd"], data["visit_sd"])
    return PairedDesign(data["mean_per_pit"], 1 / data["k"], shared)


@pytest.mark.parametrize("case", statistics_check("how many pits: compare")["expected"])
def test_pits_per_habitat_match_the_wald_formula(case: Any) -> None:
    means, alpha = (case["mean1_per_pit"], case["mean2_per_pit"]), 1 / case["k"]

    n_pits = pits_needed_per_habitat(*means, alpha)

    assert n_pits == case["pits_per_habitat"]
    assert power_per_habitat(*means, alpha, n_pits) == pytest.approx(
        case["power_at_that_n"], abs=5e-5
    )


@pytest.mark.parametrize("case", statistics_check("how many pits: precision")["expected"])
def test_pits_for_precision_match_elliott(case: Any) -> None:
    assert pits_for_precision(case["mean_per_pit"], case["k"], case["D"]) == case["n"]


@pytest.mark.parametrize("ratio", RATIOS)
def test_paired_visits_agree_with_the_simulated_guide(
    demo_design: PairedDesign, ratio: str
) -> None:
    guide = GUIDE["expected"]["paired_visits"][ratio]

    needed = paired_visits_needed(demo_design, float(ratio))

    assert abs(needed - guide) <= max(1, TOLERANCE * guide)


@pytest.mark.parametrize("ratio", RATIOS)
def test_unpaired_pits_agree_with_the_simulated_guide(
    demo_design: PairedDesign, ratio: str
) -> None:
    guide = GUIDE["expected"]["unpaired_pits_per_habitat"][ratio]
    between_pits = (1 + demo_design.alpha) * (1 + demo_design.visit_variance) - 1
    means = (6 * math.sqrt(float(ratio)), 6 / math.sqrt(float(ratio)))

    needed = pits_needed_per_habitat(*means, between_pits)

    assert abs(needed - guide) <= max(1, TOLERANCE * guide)


def test_power_at_the_number_needed_is_the_power_asked_for(demo_design: PairedDesign) -> None:
    needed = paired_visits_needed(demo_design, 1.5)

    assert paired_power(demo_design, 1.5, needed) >= 0.80
    assert paired_power(demo_design, 1.5, needed - 1) < 0.80
    assert paired_power(demo_design, 1.5, 1) == 0


def test_a_ratio_and_its_inverse_need_the_same_visits(demo_design: PairedDesign) -> None:
    assert paired_visits_needed(demo_design, 2) == paired_visits_needed(demo_design, 0.5)


@pytest.mark.parametrize("ratio", [1, 0, -2])
def test_a_ratio_that_cannot_be_shown_is_refused(demo_design: PairedDesign, ratio: float) -> None:
    with pytest.raises(ValueError, match="above 0 and not 1"):
        paired_visits_needed(demo_design, ratio)


def test_a_mean_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="Means per pit are above 0"):
        pits_needed_per_habitat(6, 0, 0.4)


def simulate_pairs(
    random: np.random.Generator, n_surveys: int, n_visits: int, ratio: float
) -> list[list[list[int]]]:
    """Return counts of two habitats by the demo scenario's count model."""
    shared = np.exp(random.normal(0, math.hypot(0.25, 0.30), (n_surveys, n_visits)))
    return [
        random.poisson(mean * shared * random.gamma(2.5, 1 / 2.5, shared.shape)).tolist()
        for mean in (6 * math.sqrt(ratio), 6 / math.sqrt(ratio))
    ]


def pits(name: str, counts: list[int]) -> PitSample:
    return PitSample(name, tuple(counts), (0.04,) * len(counts))


@pytest.mark.slow
@pytest.mark.parametrize("ratio", [1.5, 3.0])
def test_simulated_surveys_of_that_size_show_the_ratio_as_often(
    demo_design: PairedDesign, ratio: float
) -> None:
    random = np.random.default_rng(216)
    needed = paired_visits_needed(demo_design, ratio)
    surveys = simulate_pairs(random, 800, needed, ratio)

    clear = [
        compare_paired(pits("lawn", first), pits("bed", second)).clear
        for first, second in zip(*surveys, strict=True)
    ]

    assert np.mean(clear) == pytest.approx(0.80, abs=0.06)


def test_visits_needed_like_those_dug_agree_with_the_design(demo_design: PairedDesign) -> None:
    first, second = simulate_pairs(np.random.default_rng(216), 1, 4000, 1.5)
    pilot = compare_paired(pits("lawn", first[0]), pits("bed", second[0]))

    needed = paired_visits_needed_like(pilot, 1.5)

    assert needed == pytest.approx(paired_visits_needed(demo_design, 1.5), rel=0.06)


def test_visits_needed_like_an_unpaired_finding_are_unknown() -> None:
    lawn, bed = pits("lawn", [9, 4, 12, 6, 2]), pits("bed", [3, 8, 1, 5, 2])

    assert paired_visits_needed_like(compare_unpaired(lawn, bed), 1.5) is None
    assert paired_visits_needed_like(compare_paired(lawn, bed), 1.5) is None  # too few visits
