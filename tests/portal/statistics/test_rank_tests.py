"""Signed ranks and permutations, against published examples and against scipy."""

from collections.abc import Sequence

import pytest
from scipy import stats

from portal.statistics.rank_tests import SignedRankTest, permutation_test, signed_rank
from tests.reference_tables import statistics_check


def ranked(differences: Sequence[float]) -> SignedRankTest:
    """Return the test of differences that are not all zero."""
    test = signed_rank(differences)
    assert test is not None
    return test


def test_signed_rank_matches_maize_heights() -> None:
    check = statistics_check("paired Wilcoxon, no ties or zeros")
    expected = check["expected"]

    test = ranked(check["data"]["differences"])

    assert (test.n_used, test.n_zero) == (expected["n"], 0)
    assert test.sum_positive == expected["sum_positive_ranks"]
    assert test.sum_negative == check["published"]["statistic"]
    assert test.p_two_sided == check["published"]["two_sided_exact_p"]
    assert test.p_greater == pytest.approx(expected["greater_exact_p"], abs=5e-11)
    assert test.rank_biserial == pytest.approx(expected["matched_rank_biserial"])
    assert test.method == "Wilcoxon signed-rank, exact"


def test_signed_rank_matches_depression_scale() -> None:
    check = statistics_check("paired Wilcoxon, one sided")
    pairs = zip(check["data"]["x"], check["data"]["y"], strict=True)

    test = ranked([x - y for x, y in pairs])

    assert test.sum_positive == check["published"]["V"]
    assert test.p_greater == check["expected"]["greater_exact_p"]


def test_signed_rank_is_exact_with_ties() -> None:
    differences = [1, 1, -1, 2, 2, 3, -3, 4, 5, 5]
    reference = stats.wilcoxon(
        differences, method=stats.PermutationMethod(n_resamples=5000), alternative="two-sided"
    )  # 2^10 sign patterns, so scipy enumerates them

    assert ranked(differences).p_two_sided == pytest.approx(reference.pvalue)


def test_signed_rank_leaves_out_zeros_and_counts_them() -> None:
    test = ranked([0, 3, -1, 0, 4])

    assert (test.n_used, test.n_zero) == (3, 2)


def test_signed_rank_of_many_pairs_uses_the_normal_approximation() -> None:
    differences = [(-1) ** i * i / 2 + 3 for i in range(1, 41)]
    reference = stats.wilcoxon(differences, correction=True, method="asymptotic")

    test = ranked(differences)

    assert test.p_two_sided == pytest.approx(reference.pvalue)
    assert test.method == "Wilcoxon signed-rank, normal approximation"


def test_signed_rank_of_equal_pairs_is_no_test() -> None:
    assert signed_rank([0, 0, 0]) is None


def test_permutation_matches_mouse_survival() -> None:
    check = statistics_check("exact permutation, small groups")
    expected = check["expected"]

    test = permutation_test(check["data"]["treatment"], check["data"]["control"])

    assert test.n_permutations == expected["exact_permutations"]
    assert test.p_greater == expected["one_sided_count"] / expected["exact_permutations"]
    assert test.p_two_sided == pytest.approx(expected["two_sided_p"], abs=5e-7)
    assert test.difference == pytest.approx(expected["difference_of_means"], abs=5e-7)
    assert test.method == "permutation of pits, exact"


def test_permutation_of_large_groups_is_drawn_repeatable_and_never_zero() -> None:
    first, second = list(range(100, 120)), list(range(20))

    test = permutation_test(first, second)

    assert test == permutation_test(first, second)
    assert test.method == "permutation of pits, drawn"
    assert 0 < test.p_two_sided < 0.001
