"""Diversity indices, against the published and hand-made cases of ``diversity_checks.json``."""

import math
from typing import Any

import pytest

from portal.statistics.diversity import (
    Diversity,
    describe_diversity,
    hill_number,
    rarefied_richness,
)
from tests.reference_tables import document

CHECKS = document("diversity_checks.json")
CASES = [pytest.param(case, id=case["name"]) for case in CHECKS["cases"]]
FIELDS = {
    "n": "n",
    "S": "richness",
    "shannon_ln": "shannon",
    "simpson_dominance_sum_p2": "simpson",
    "gini_simpson": "gini_simpson",
    "simpson_unbiased_1_minus_D": "gini_simpson_unbiased",
    "hill_q1": "hill_1",
    "hill_q2": "hill_2",
    "pielou": "pielou",
    "chao1_bias_corrected": "chao1_bias_corrected",
    "chao1_finite_n": "chao1_finite_n",
    "good_coverage": "good_coverage",
    "chao_jost_coverage": "chao_jost_coverage",
}


def described(counts: list[int], unit: str = "species") -> Diversity:
    """Return the indices of a sample that is not empty."""
    result = describe_diversity(counts, unit)
    assert result is not None
    return result


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("key", FIELDS)
def test_index_matches_expected_value(case: Any, key: str) -> None:
    result = described(case["counts"])

    expected = case["expected"][key]
    found = getattr(result, FIELDS[key])
    assert found == (None if expected is None else pytest.approx(expected, abs=6e-7))


@pytest.mark.parametrize("case", [case for case in CHECKS["cases"] if "published" in case])
def test_published_figures_are_reproduced_to_their_printed_decimals(case: Any) -> None:
    # Chao et al. 2014; Hsieh, Ma & Chao 2016
    result = described(case["counts"])

    assert result.chao1_finite_n == pytest.approx(case["published"]["chao1"], abs=6e-4)
    assert result.hill_1 == pytest.approx(case["published"]["shannon_diversity_obs"], abs=6e-4)
    assert result.hill_2 == pytest.approx(case["published"]["simpson_diversity_obs"], abs=6e-4)


@pytest.mark.parametrize("case", CASES)
def test_rarefied_richness_matches_expected_values(case: Any) -> None:
    for n_drawn, expected in case["rarefied_richness"].items():
        found = rarefied_richness(case["counts"], int(n_drawn))

        assert found == pytest.approx(expected, abs=6e-7)


@pytest.mark.parametrize("case", CASES)
def test_hill_numbers_of_order_0_1_2_agree_with_the_indices(case: Any) -> None:
    result = described(case["counts"])

    assert hill_number(case["counts"], 0) == pytest.approx(result.richness)
    assert hill_number(case["counts"], 1) == pytest.approx(result.hill_1)
    assert hill_number(case["counts"], 2) == pytest.approx(result.hill_2)


def test_result_carries_what_was_told_apart() -> None:
    assert described([4, 2, 1], "ecological group").unit == "ecological group"


@pytest.mark.parametrize("counts", [[], [0, 0]])
def test_empty_sample_has_no_index(counts: list[int]) -> None:
    assert describe_diversity(counts, "species") is None
    assert hill_number(counts, 1) is None


@pytest.mark.parametrize("counts", [[3, -1], [2.5, 1]])
def test_impossible_counts_are_refused(counts: Any) -> None:
    with pytest.raises(ValueError, match="whole number of 0 or more"):
        describe_diversity(counts, "species")


@pytest.mark.parametrize("n_drawn", [8, 0])
def test_rarefying_beyond_the_sample_is_refused(n_drawn: int) -> None:
    with pytest.raises(ValueError, match="no extrapolation"):
        rarefied_richness([5, 2], n_drawn)


def test_negative_order_is_refused() -> None:
    with pytest.raises(ValueError, match="order of 0 or more"):
        hill_number([5, 2], -1)


def test_one_animal_has_no_unbiased_simpson_and_no_coverage() -> None:
    result = described([1])

    assert result.gini_simpson_unbiased is None
    assert (result.good_coverage, result.chao_jost_coverage) == (0, 0)


def test_one_singleton_without_doubletons_falls_back_to_good_coverage() -> None:
    result = described([5, 3, 1])

    assert result.chao_jost_coverage == pytest.approx(1 - 1 / 9)
    assert result.shannon == pytest.approx(
        -sum(share * math.log(share) for share in (5 / 9, 3 / 9, 1 / 9))
    )
