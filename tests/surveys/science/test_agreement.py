"""Proportions, confusion, kappa and reliability, against ``agreement_checks.json``."""

from typing import Any

import pytest

from surveys.science.agreement import (
    ALL_AGREED,
    LARGE_SAMPLE,
    NOT_ENOUGH,
    ONE_LABEL,
    Matrix,
    cohen_kappa,
    cohen_kappa_of,
    confusion_matrix,
    proportion,
    recorder_reliability,
    right_by_group,
)
from tests.reference_tables import document

CHECKS = document("agreement_checks.json")
GROUPS = ("epigeic", "endogeic", "anecic")


def matrix(table: list[list[int]]) -> Matrix:
    return {
        first: dict(zip(GROUPS, row, strict=False))
        for first, row in zip(GROUPS, table, strict=False)
    }


@pytest.mark.parametrize("case", CHECKS["wilson"])
def test_proportion_matches_newcombe(case: dict[str, float]) -> None:
    result = proportion(int(case["found"]), int(case["looked_at"]))

    assert result.lower == pytest.approx(case["lower"], abs=5e-5)
    assert result.upper == pytest.approx(case["upper"], abs=5e-5)
    assert result.share == pytest.approx(case["found"] / case["looked_at"])


@pytest.mark.parametrize(("hits", "n"), [(0, 0), (3, 2), (-1, 5)])
def test_impossible_proportion_is_refused(hits: int, n: int) -> None:
    with pytest.raises(ValueError, match=f"got {hits} of {n}"):
        proportion(hits, n)


@pytest.mark.parametrize("case", CHECKS["kappa"])
def test_kappa_matches_published_value(case: dict[str, Any]) -> None:
    result = cohen_kappa(matrix(case["table"]))

    assert result.kappa == pytest.approx(case["kappa"], abs=6e-4)
    assert result.n == sum(map(sum, case["table"]))
    assert result.method == LARGE_SAMPLE


def test_kappa_interval_matches_printed_limits() -> None:
    case = CHECKS["kappa"][0]

    result = cohen_kappa(matrix(case["table"]))

    assert result.lower == pytest.approx(case["lower"], abs=5e-5)
    assert result.upper == pytest.approx(case["upper"], abs=5e-5)


def test_kappa_error_matches_fleiss_cohen_and_everitt() -> None:
    case = CHECKS["kappa"][1]

    result = cohen_kappa(matrix(case["table"]))

    assert result.lower is not None
    assert result.upper is not None
    error = (result.upper - result.lower) / 2 / 1.959964
    assert error == pytest.approx(case["standard_error"], abs=5e-4)


def test_kappa_of_full_agreement_is_one_but_not_certain() -> None:
    few, many = (cohen_kappa(matrix([[n, 0], [0, n]])) for n in (5, 50))

    assert (few.kappa, few.upper, few.method) == (1, 1, ALL_AGREED)
    assert few.lower is not None
    assert many.lower is not None
    assert 0 < few.lower < many.lower < 1


@pytest.mark.parametrize(
    ("table", "method"),
    [([[2, 1], [0, 1]], NOT_ENOUGH), ([[0, 0], [0, 0]], NOT_ENOUGH), ([[9, 0], [0, 0]], ONE_LABEL)],
)
def test_kappa_that_cannot_be_had_says_why(table: list[list[int]], method: str) -> None:
    result = cohen_kappa(matrix(table))

    assert (result.kappa, result.lower, result.upper) == (None, None, None)
    assert result.method == method


def test_kappa_with_a_label_nobody_used_second_is_chance() -> None:
    assert cohen_kappa(matrix([[5, 0], [5, 0]])).kappa == 0


def test_kappa_of_one_group_is_that_of_the_two_by_two_table() -> None:
    # first published table, second group against the rest, worked by hand: 8 + 6 of 19 agree,
    # totals 8 and 13 for the group, 11 and 6 for the rest
    result = cohen_kappa_of(matrix([[0, 4, 1], [0, 8, 0], [0, 1, 5]]), "endogeic")

    observed, chance = (8 + 6) / 19, (8 * 13 + 11 * 6) / 19**2
    assert result.kappa == pytest.approx((observed - chance) / (1 - chance))


def test_confusion_matrix_counts_pairs_and_keeps_zeros() -> None:
    pairs = [("epigeic", "epigeic"), ("epigeic", "endogeic"), ("anecic", "anecic")]

    result = confusion_matrix([*pairs, pairs[0]], GROUPS)

    assert result == {
        "epigeic": {"epigeic": 2, "endogeic": 1, "anecic": 0},
        "endogeic": {"epigeic": 0, "endogeic": 0, "anecic": 0},
        "anecic": {"epigeic": 0, "endogeic": 0, "anecic": 1},
    }


def test_confusion_matrix_refuses_a_strange_label() -> None:
    with pytest.raises(ValueError, match="got worm"):
        confusion_matrix([("epigeic", "worm")], GROUPS)


def test_right_by_group_gives_each_group_its_own_share() -> None:
    result = right_by_group(matrix([[74, 22, 4], [0, 0, 0], [6, 16, 78]]))

    assert result["endogeic"] is None
    assert result["epigeic"] == proportion(74, 100)
    assert result["anecic"] == proportion(78, 100)


@pytest.mark.parametrize(
    ("right", "verified", "band"),
    [
        (4, 4, "not enough yet"),
        (0, 0, "not enough yet"),
        (5, 5, "mixed"),
        (20, 20, "often right"),
        (2, 20, "often changed"),
    ],
)
def test_reliability_band_waits_for_evidence(right: int, verified: int, band: str) -> None:
    result = recorder_reliability(right, verified)

    assert (result.n_verified, result.band) == (verified, band)
    assert (result.right is None) == (verified < 5)
