"""Visits that a contrast needs, against the simulated guide and the chi-squared distribution."""

import math

import numpy as np
import pytest
from scipy import stats

from portal.statistics.contrasts import Contrast
from portal.statistics.planning import Plan, plan_contrast
from portal.statistics.sides import read_side
from portal.statistics.tallies import DRENCHED, PitTally
from tests.reference_tables import statistics_check

GUIDE = statistics_check("how many paired visits")
CONTRAST = Contrast(read_side("habitat", "lawn"), read_side("habitat", "flower bed"))


def pit(number: int, habitat: str, visit: int) -> PitTally:
    traits = {
        "pit_id": f"{visit:05} {habitat}",
        "visit_id": f"{visit:05}",
        "site_id": f"{visit:05}",
        "area_m2": 0.04,
        "habitat": habitat,
    }
    return PitTally(traits, "kit A", DRENCHED, number, counted=True)


def pits(lawns: list[int], beds: list[int]) -> list[PitTally]:
    return [
        pit(number, habitat, visit)
        for habitat, numbers in (("lawn", lawns), ("flower bed", beds))
        for visit, number in enumerate(numbers)
    ]


@pytest.fixture(scope="module")
def dug_often() -> list[PitTally]:
    """Return 4,000 visits by the count model of the guide, without a difference."""
    data, random = GUIDE["data"], np.random.default_rng(216)
    shared = np.exp(random.normal(0, math.hypot(data["person_sd"], data["visit_sd"]), 4000))
    lawns, beds = (
        random.poisson(data["mean_per_pit"] * shared * random.gamma(data["k"], 1 / data["k"], 4000))
        for _ in range(2)
    )
    return pits(lawns.tolist(), beds.tolist())


@pytest.mark.parametrize("ratio", ["1.5", "2"])
def test_visits_and_pits_needed_agree_with_the_simulated_guide(
    dug_often: list[PitTally], ratio: str
) -> None:
    (plan,) = plan_contrast(dug_often, CONTRAST, float(ratio), 0.8)

    guide = GUIDE["expected"]
    assert plan.visits_needed == pytest.approx(guide["paired_visits"][ratio], rel=0.1)
    assert plan.pits_needed == pytest.approx(guide["unpaired_pits_per_habitat"][ratio], rel=0.12)
    assert (plan.n_visits, plan.visits_missing) == (4000, 0)


def test_the_range_is_that_of_a_variance_known_from_so_many_visits() -> None:
    (plan,) = plan_contrast(
        pits([9, 4, 12, 6, 2, 7, 5, 9], [3, 8, 5, 5, 2, 9, 1, 4]), CONTRAST, 2, 0.9
    )

    assert plan.visits_needed is not None
    assert plan.visits_range is not None
    without_t = plan.visits_needed - stats.norm.ppf(0.975) ** 2 / 2
    expected = [7 / stats.chi2.ppf(share, 7) * without_t for share in (0.975, 0.025)]
    found = [limit - stats.norm.ppf(0.975) ** 2 / 2 for limit in plan.visits_range]
    assert found == pytest.approx(expected, abs=1 + 0.06 * without_t)  # each is rounded up
    assert plan.visits_missing == plan.visits_needed - 8
    assert f"about {plan.visits_needed} paired visits" in plan.sentence
    assert "8 are there" in plan.sentence


def test_more_power_needs_more_visits() -> None:
    dug = pits([9, 4, 12, 6, 2, 7], [3, 8, 5, 5, 2, 9])

    needed = [plan_contrast(dug, CONTRAST, 2, power)[0].visits_needed or 0 for power in (0.6, 0.9)]

    assert needed[0] < needed[1]


@pytest.mark.parametrize(
    ("lawns", "beds", "visits", "words"),
    [
        ([9, 4, 12, 6, 2], [3, 8, 1, 5, 2], 5, "5 paired visits are too few"),
        ([9], [3], 1, "1 paired visit is too few"),
    ],
)
def test_too_few_visits_are_told(
    lawns: list[int], beds: list[int], visits: int, words: str
) -> None:
    (plan,) = plan_contrast(pits(lawns, beds), CONTRAST, 1.5, 0.8)

    assert (plan.n_visits, plan.visits_needed, plan.visits_missing) == (visits, None, None)
    assert words in plan.sentence


def test_a_side_without_animals_leaves_both_unknown() -> None:
    (plan,) = plan_contrast(pits([9, 4, 12, 6, 2, 3], [0] * 6), CONTRAST, 1.5, 0.8)

    assert (plan.visits_needed, plan.pits_needed) == (None, None)
    assert "a side holds no animals" in plan.sentence


def test_visits_that_hold_no_pair_are_no_pairs() -> None:
    dug = [pit(4, "lawn", 1), pit(4, "flower bed", 2)]

    plans = plan_contrast(dug, CONTRAST, 1.5, 0.8)

    assert [(plan.n_visits, plan.visits_needed) for plan in plans] == [(0, None)]


def test_a_plan_that_is_met_misses_nothing() -> None:
    plan = Plan("kit", DRENCHED, "lawn", "hedge", 2.0, 0.8, 40, 30, (20, 60), 25)

    assert plan.visits_missing == 0
    assert plan.sentence == (
        "lawn against hedge, ratio 2: about 30 paired visits (roughly 20 to 60) show it with "
        "80% power, 40 are there; unpaired, about 25 pits of each."
    )
