"""Densities and their intervals, against Garwood's limits and simulated coverage."""

from collections import Counter

import numpy as np
import pytest

from portal.statistics import density
from portal.statistics.density import poisson_limits, pooled_density
from portal.statistics.samples import AlikePits, PitSample
from tests.reference_tables import document, statistics_check

ZERO = document("density_checks.json")["zero"]


def pits(*counts: int, area: float = 0.04) -> PitSample:
    return PitSample("lawn", counts, (area,) * len(counts))


@pytest.mark.parametrize("count", [0, 10])
def test_poisson_limits_match_garwood(count: int) -> None:
    expected = statistics_check("exact interval for a pooled count")["expected"]

    assert poisson_limits(count) == pytest.approx(expected[f"count_{count}_ci95"], abs=5e-6)


def test_nothing_found_gives_the_published_upper_limit() -> None:
    result = pooled_density(pits(*[ZERO["count"]] * ZERO["pits"], area=ZERO["area_each_m2"]))

    assert (result.per_m2, result.lower_per_m2) == (0, 0)
    assert result.upper_per_m2 == pytest.approx(ZERO["upper95_two_sided_per_m2"], abs=5e-5)
    assert result.interval_method == density.EXACT_NOTHING_FOUND


def test_nothing_found_one_sided_limit_is_the_rule_of_three() -> None:
    _, upper = poisson_limits(0, confidence=0.90)  # the upper 95 percent one-sided limit

    per_m2 = upper / (ZERO["pits"] * ZERO["area_each_m2"])
    assert per_m2 == pytest.approx(ZERO["upper95_one_sided_per_m2"], abs=5e-5)


def test_density_of_few_pits_is_exact_and_says_so() -> None:
    result = pooled_density(pits(6, 10, 0))

    lower, upper = poisson_limits(16)
    assert (result.n_pits, result.total_count, result.total_area_m2) == (3, 16, 0.12)
    assert result.per_m2 == pytest.approx(16 / 0.12)
    assert result.lower_per_m2 == pytest.approx(lower / 0.12)
    assert result.upper_per_m2 == pytest.approx(upper / 0.12)
    assert result.interval_method == density.EXACT_TOO_FEW


def test_density_of_even_pits_is_exact_and_says_so() -> None:
    result = pooled_density(pits(5, 6, 5, 6, 5))

    assert result.interval_method == density.EXACT_NOT_CLUMPED


def test_density_of_clumped_pits_has_a_wider_interval_than_poisson() -> None:
    clumped = pits(0, 2, 25, 4, 1, 13)

    result = pooled_density(clumped)

    lower, upper = poisson_limits(45)
    assert result.interval_method == density.NEGATIVE_BINOMIAL
    assert result.lower_per_m2 < lower / 0.24 < result.per_m2 < upper / 0.24 < result.upper_per_m2


def test_density_interval_lies_around_the_ratio_of_sums_when_areas_differ() -> None:
    sample = PitSample("lawn", (0, 2, 25, 4, 1, 13), (0.04, 0.04, 0.0625, 0.04, 0.0625, 0.04))

    result = pooled_density(sample)

    assert result.per_m2 == pytest.approx(45 / 0.285)
    middle = (result.lower_per_m2 * result.upper_per_m2) ** 0.5
    assert middle == pytest.approx(result.per_m2)


@pytest.mark.slow
@pytest.mark.parametrize(("n_pits", "mean", "k"), [(6, 6, 2.5), (12, 2, 1)])
def test_density_interval_covers_the_truth_about_as_often_as_it_says(
    n_pits: int, mean: float, k: float
) -> None:
    # 400 surveys: a true coverage of 94 percent lies within 90.5 to 97.5 percent here
    random = np.random.default_rng(20250715)
    surveys = random.negative_binomial(k, k / (k + mean), (400, n_pits)).tolist()

    results = [pooled_density(pits(*counts)) for counts in surveys]

    truth = mean / 0.04
    covered = sum(result.lower_per_m2 <= truth <= result.upper_per_m2 for result in results)
    assert 0.905 <= covered / len(results) <= 0.98


@pytest.mark.parametrize(
    "counts", [(0, 0, 0), (6, 10, 0), (5, 6, 5, 6, 5), (0, 2, 25, 4, 1, 13, 0, 2)]
)
@pytest.mark.parametrize("areas", [(0.04,), (0.04, 0.09)])
def test_pits_taken_together_have_the_density_of_each_for_itself(
    counts: tuple[int, ...], areas: tuple[float, ...]
) -> None:
    pairs = [(count, areas[n % len(areas)]) for n, count in enumerate(counts)]
    each = pooled_density(PitSample("lawn", counts, tuple(area for _, area in pairs)))

    together = pooled_density(AlikePits("lawn", Counter(pairs)))
    other_order = pooled_density(AlikePits("lawn", Counter(reversed(pairs))))

    assert together == other_order
    assert together.interval_method == each.interval_method
    assert (together.n_pits, together.total_count) == (each.n_pits, each.total_count)
    assert together.total_area_m2 == pytest.approx(each.total_area_m2, rel=1e-12)
    assert together.per_m2 == pytest.approx(each.per_m2, rel=1e-12)
    assert together.lower_per_m2 == pytest.approx(each.lower_per_m2, rel=1e-6)
    assert together.upper_per_m2 == pytest.approx(each.upper_per_m2, rel=1e-6)


@pytest.mark.parametrize("numbers", [{}, {(-1, 0.04): 1}, {(3, 0.0): 2}])
def test_pits_that_cannot_be_counted_are_refused(numbers: dict[tuple[int, float], int]) -> None:
    with pytest.raises(ValueError, match="got"):
        AlikePits("lawn", numbers)
