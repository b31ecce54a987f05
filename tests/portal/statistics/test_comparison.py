"""Comparisons of habitats, against published examples, statsmodels and simulated coverage."""

import math

import numpy as np
import pytest
from scipy import stats

from portal.statistics.comparison import compare_paired, compare_two_pits, compare_unpaired
from portal.statistics.findings import Finding, Outcome, Unit
from portal.statistics.samples import PitSample
from tests.reference_tables import statistics_check


def pits(name: str, *counts: int, area: float = 0.04) -> PitSample:
    return PitSample(name, counts, (area,) * len(counts))


def limits(finding: Finding) -> tuple[float, float]:
    """Return the interval of a finding that has one, without bound as infinity."""
    assert finding.interval is not None
    lower, upper = finding.interval
    return lower, math.inf if upper is None else upper


LAWN = pits("lawn", 9, 12, 6, 20, 3, 14, 8, 11)
PLOUGHED = pits("ploughed field", 3, 5, 2, 6, 1, 4, 4, 2)
BED = pits("flower bed", 8, 14, 3, 12, 6, 9, 13, 7)
BARE = pits("bare ground", 0, 0, 0, 0, 0, 0, 0, 0)


def test_paired_with_equal_areas_is_the_ratio_of_sums() -> None:
    finding = compare_paired(LAWN, PLOUGHED)

    assert finding.ratio == pytest.approx(83 / 27)
    assert (finding.n, finding.unit) == (8, Unit.VISITS)
    assert limits(finding)[0] > 1
    assert finding.clear is True


def test_paired_ratio_with_unequal_areas_is_the_published_stratified_estimate() -> None:
    # Rothman 1986, Modern Epidemiology, and Greenland & Robins 1985 give for person-time
    # sum(a_i N0_i / N_i) / sum(b_i N1_i / N_i); worked by hand for two kinds of pit here
    first = PitSample("lawn", (6, 4, 8, 2, 5, 3), (0.04, 0.0625, 0.04, 0.04, 0.0625, 0.04))
    second = PitSample("hedge", (3, 2, 5, 2, 1, 3), (0.0625, 0.04, 0.04, 0.04, 0.0625, 0.04))

    finding = compare_paired(first, second)

    above = 6 * 0.0625 / 0.1025 + 4 * 0.04 / 0.1025 + (8 + 2 + 5 + 3) / 2
    below = 3 * 0.04 / 0.1025 + 2 * 0.0625 / 0.1025 + (5 + 2 + 1 + 3) / 2
    assert finding.ratio == pytest.approx(above / below)


def test_paired_swapped_gives_the_inverse() -> None:
    there, back = compare_paired(LAWN, PLOUGHED), compare_paired(PLOUGHED, LAWN)

    assert (there.ratio, back.ratio) == pytest.approx((83 / 27, 27 / 83))
    assert limits(back) == pytest.approx([1 / limit for limit in reversed(limits(there))])
    assert back.p_value == pytest.approx(there.p_value)


def test_paired_is_blind_to_the_level_of_the_visits() -> None:
    # a visit where everything is tripled in both pits says the same about the ratio
    first = pits("lawn", *(4 * n for n in (1, 2, 3, 4, 5, 6)))
    second = pits("hedge", *(2 * n for n in (1, 2, 3, 4, 5, 6)))

    finding = compare_paired(first, second)

    assert finding.ratio == pytest.approx(2)
    assert finding.standard_error == pytest.approx(0, abs=1e-12)


def test_paired_garden_contrast_is_not_clear() -> None:
    finding = compare_paired(LAWN, BED)

    assert (finding.clear, finding.outcome) == (False, Outcome.SPANS_ONE)
    lower, upper = limits(finding)
    assert lower < 1 < upper
    assert "includes 1" in finding.sentence


def test_paired_needs_six_visits() -> None:
    finding = compare_paired(pits("lawn", 9, 9, 9, 9, 9), pits("hedge", 1, 1, 1, 1, 1))

    assert (finding.clear, finding.outcome) == (False, Outcome.TOO_FEW)
    assert (finding.ratio, finding.interval, finding.p_value) == (None, None, None)


def test_paired_with_one_empty_side_uses_the_exact_rank_test() -> None:
    finding = compare_paired(LAWN, BARE)

    assert (finding.ratio, finding.clear) == (None, True)
    assert finding.p_value == 2 / 2**8
    assert finding.method == "Wilcoxon signed-rank, exact"


def test_paired_with_few_animals_on_one_side_is_not_clear() -> None:
    finding = compare_paired(pits("lawn", 1, 0, 2, 0, 0, 0, 0, 0), BARE)

    assert (finding.clear, finding.outcome) == (False, Outcome.ONE_SIDE)


def test_paired_that_hangs_on_one_visit_has_no_interval() -> None:
    finding = compare_paired(LAWN, pits("heap", 0, 0, 0, 90, 0, 0, 0, 0))

    assert (finding.clear, finding.outcome) == (False, Outcome.ONE_VISIT)


def test_paired_without_animals_compares_nothing() -> None:
    assert compare_paired(BARE, BARE).outcome is Outcome.NOTHING_FOUND


def test_paired_refuses_half_a_pair() -> None:
    with pytest.raises(ValueError, match="both pits, got 8 and 1"):
        compare_paired(LAWN, pits("hedge", 3))


def test_unpaired_matches_larva_counts() -> None:
    # Beall 1940; 648 degrees of freedom, so Student's t is the normal to 3 decimals
    check = statistics_check("zero-heavy larva counts")
    plots = [
        pits(name, *(int(n) for n, times in counts.items() for _ in range(times)), area=1.0)
        for name, counts in check["data"]["frequency_of_count"].items()
    ]

    finding = compare_unpaired(plots[1], plots[0])

    assert finding.ratio == pytest.approx(check["expected"]["rate_ratio_T2_to_T1"], abs=5e-6)
    assert finding.standard_error == pytest.approx(
        check["expected"]["se_log_ratio_negbin"], abs=5e-5
    )
    assert finding.interval == pytest.approx(check["expected"]["rate_ratio_ci95"], abs=1e-3)
    assert finding.clear is True


def test_unpaired_counts_all_pits_and_needs_five_of_each() -> None:
    finding = compare_unpaired(LAWN, pits("hedge", 1, 2, 1))

    assert (finding.n, finding.outcome) == (11, Outcome.TOO_FEW)


def test_unpaired_with_one_empty_side_uses_the_permutation_test() -> None:
    finding = compare_unpaired(LAWN, BARE)

    assert finding.p_value == 2 / math.comb(16, 8)
    assert finding.clear is True


def test_unpaired_without_animals_compares_nothing() -> None:
    assert compare_unpaired(BARE, BARE).outcome is Outcome.NOTHING_FOUND


def test_two_pits_match_published_ratio_of_rates() -> None:
    # Gu, Ng, Tang & Schucany 2008: one-sided conditional exact p; limits by scipy's binomtest
    check = statistics_check("ratio of two Poisson rates")
    data = check["data"]
    first = PitSample("first", (data["count1"],), (data["exposure1"],))
    second = PitSample("second", (data["count2"],), (data["exposure2"],))

    finding = compare_two_pits(first, second)

    assert finding.ratio == pytest.approx(check["expected"]["ratio"], abs=5e-7)
    one_sided = check["expected"]["one_sided_p_conditional_exact"]
    assert finding.p_value == pytest.approx(2 * one_sided, abs=1e-7)
    share = stats.binomtest(data["count1"], 90).proportion_ci(method="exact")
    expected = [p / (1 - p) * data["exposure2"] / data["exposure1"] for p in share]
    assert limits(finding) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("lawn", "bed", "clear"), [(6, 5, False), (20, 2, True), (5, 0, False), (0, 12, True)]
)
def test_two_pits_tell_large_differences_only(lawn: int, bed: int, *, clear: bool) -> None:
    finding = compare_two_pits(pits("lawn", lawn), pits("flower bed", bed))

    assert finding.clear is clear
    assert "these two pits only" in finding.sentence
    lower, upper = limits(finding)
    assert (lower > 1 or upper < 1) is clear


def test_two_empty_pits_compare_nothing() -> None:
    assert compare_two_pits(pits("lawn", 0), pits("bed", 0)).outcome is Outcome.NOTHING_FOUND


def test_two_pits_refuses_more() -> None:
    with pytest.raises(ValueError, match="Two single pits"):
        compare_two_pits(LAWN, BED)


@pytest.mark.slow
@pytest.mark.parametrize("n_visits", [6, 20])
def test_paired_interval_covers_the_truth_about_as_often_as_it_says(n_visits: int) -> None:
    # the demo scenario's count model: k 2.5, person sd 0.25 and visit sd 0.30 shared by both pits
    random = np.random.default_rng(216)
    shared = np.exp(random.normal(0, math.hypot(0.25, 0.30), (800, n_visits)))
    counts = [
        random.poisson(mean * shared * random.gamma(2.5, 1 / 2.5, shared.shape)).tolist()
        for mean in (9, 6)
    ]

    findings = [
        compare_paired(pits("lawn", *first), pits("bed", *second))
        for first, second in zip(*counts, strict=True)
    ]

    intervals = [limits(finding) for finding in findings]
    covered = sum(lower <= 1.5 <= upper for lower, upper in intervals)
    assert 0.92 <= covered / len(findings) <= 0.975
