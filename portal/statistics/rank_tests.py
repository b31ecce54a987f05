"""Tests that need no model of the counts: signed ranks for pairs, permutation for two groups."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

MAX_EXACT_PAIRS = 25  # common practice: exact p below 26 pairs
MAX_PERMUTATIONS = 20_000
MAX_VALUES_AT_ONCE = 2_000_000  # 16 MB, however many pits there are
SEED = 216  # so that the same counts always give the same p


@dataclass(frozen=True)
class SignedRankTest:
    """Wilcoxon's signed-rank test of paired differences.

    Parameters
    ----------
    n_used, n_zero : int
        Pairs that differ, and pairs without a difference, which the test leaves out.
    sum_positive, sum_negative : float
        Sums of the ranks of rises and of falls.
    p_two_sided, p_greater : float
        Probability of ranks as uneven by chance; either way, and for a rise.
    rank_biserial : float
        Matched rank biserial, from -1 to 1.
    method : str
        How p was found.
    """

    n_used: int
    n_zero: int
    sum_positive: float
    sum_negative: float
    p_two_sided: float
    p_greater: float
    rank_biserial: float
    method: str


@dataclass(frozen=True)
class PermutationTest:
    """Difference of two means against all, or many, ways to deal the values out again."""

    difference: float
    p_two_sided: float
    p_greater: float
    n_permutations: int
    method: str


def signed_rank(differences: Sequence[float]) -> SignedRankTest | None:
    """Test whether paired differences lie around zero.

    Wilcoxon 1945, Individual comparisons by ranking methods, Biometrics Bulletin 1:80-83. Up to
    25 pairs p is exact, also with ties: all ways to give the ranks a sign are counted.

    Parameters
    ----------
    differences : sequence of float
        First minus second, one per pair.

    Returns
    -------
    SignedRankTest or None
        None when no pair differs.
    """
    from scipy.stats import rankdata  # noqa: PLC0415 -- kept out of the import of the module

    used = [difference for difference in differences if difference != 0]
    if not used:
        return None
    ranks = rankdata([abs(difference) for difference in used])
    positive = float(sum(r for r, d in zip(ranks, used, strict=True) if d > 0))
    negative = float(ranks.sum()) - positive
    exact = len(used) <= MAX_EXACT_PAIRS
    greater, two_sided = _exact_p(ranks, positive) if exact else _asymptotic_p(used)
    return SignedRankTest(
        n_used=len(used),
        n_zero=len(differences) - len(used),
        sum_positive=positive,
        sum_negative=negative,
        p_two_sided=two_sided,
        p_greater=greater,
        rank_biserial=(positive - negative) / (positive + negative),
        method=f"Wilcoxon signed-rank, {'exact' if exact else 'normal approximation'}",
    )


def permutation_test(first: Sequence[float], second: Sequence[float]) -> PermutationTest:
    """Test a difference of means by dealing the values out to the two groups again.

    Fisher 1935, The Design of Experiments; Phipson and Smyth 2010, Permutation p-values should
    never be zero, Statistical Applications in Genetics and Molecular Biology 9:39 (one is added
    when dealings are drawn). All dealings are enumerated up to 20,000, else 20,000 are drawn.

    Parameters
    ----------
    first, second : sequence of float
        Values of the two groups, such as densities of pits [1/m2].

    Returns
    -------
    PermutationTest
        Difference first minus second, and p.
    """
    import numpy as np  # noqa: PLC0415 -- kept out of the import of the module
    from scipy import stats  # noqa: PLC0415 -- as above

    def difference(a: "np.ndarray", b: "np.ndarray", axis: int) -> "np.ndarray":
        return np.asarray(a.mean(axis=axis) - b.mean(axis=axis))

    result = stats.permutation_test(
        (list(first), list(second)),
        difference,
        vectorized=True,
        n_resamples=MAX_PERMUTATIONS,
        batch=max(1, MAX_VALUES_AT_ONCE // (len(first) + len(second))),
        rng=np.random.default_rng(SEED),
    )
    exact = comb(len(first) + len(second), len(first)) <= MAX_PERMUTATIONS
    observed = float(result.statistic)
    null = result.null_distribution
    hair = 1e-9 * max(1.0, abs(observed))  # equal sums may differ in their last digit
    added = 0 if exact else 1

    def share(hits: int) -> float:
        return (hits + added) / (len(null) + added)

    return PermutationTest(
        difference=observed,
        p_two_sided=share(int((np.abs(null) >= abs(observed) - hair).sum())),
        p_greater=share(int((null >= observed - hair).sum())),
        n_permutations=len(null),
        method=f"permutation of pits, {'exact' if exact else 'drawn'}",
    )


def _exact_p(ranks: "np.ndarray", positive: float) -> tuple[float, float]:
    """Return p for a rise and two-sided p from the count of all sign patterns.

    Ranks are doubled because ties share half ranks.
    """
    doubled = [round(2 * rank) for rank in ranks]
    ways = [1] + [0] * sum(doubled)
    for rank in doubled:
        for total in range(len(ways) - 1, rank - 1, -1):
            ways[total] += ways[total - rank]
    observed = round(2 * positive)
    patterns = 2 ** len(doubled)
    greater = sum(ways[observed:]) / patterns
    less = sum(ways[: observed + 1]) / patterns
    return greater, min(1.0, 2 * min(greater, less))


def _asymptotic_p(used: Sequence[float]) -> tuple[float, float]:
    """Return p for a rise and two-sided p by the normal approximation with tie correction."""
    from scipy.stats import wilcoxon  # noqa: PLC0415 -- kept out of the import of the module

    greater, two_sided = (
        float(wilcoxon(used, alternative=way, correction=True, method="asymptotic").pvalue)
        for way in ("greater", "two-sided")
    )
    return greater, two_sided
