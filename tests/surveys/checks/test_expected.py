"""The usual range of a count, against another library and a published rule."""

from decimal import Decimal

import numpy as np
import pytest

from surveys.checks.expected import quantile, usual_count
from surveys.protocol.definition import CheckParameters

LIMITS = CheckParameters()
AREA = Decimal("0.04")


def test_range_without_enough_pits_scales_the_limit_of_the_kit() -> None:
    # plausibility table of the programme: 40 in 0.04 m2 is 1000 per m2
    assert usual_count([9] * 29, AREA, LIMITS).highest == 40
    assert usual_count([], Decimal("0.0625"), LIMITS).highest == 62


def test_range_of_clumped_counts_holds_nearly_all_of_them() -> None:
    # draws of numpy's own negative binomial (another implementation), k 2.5, mean 9
    draws = np.random.default_rng(216).negative_binomial(2.5, 2.5 / (2.5 + 9), 20_000)

    usual = usual_count([int(draw) for draw in draws[:2000]], AREA, LIMITS)
    inside = np.mean([usual.holds(int(draw)) for draw in draws])

    assert inside == pytest.approx(0.995, abs=0.004)
    assert usual.basis == "2000 earlier pits of this kit and season"


def test_range_of_even_counts_is_that_of_a_poisson() -> None:
    # cumulative Poisson table, mean 4 (common statistical tables): P(X <= 10) = 0.997,
    # P(X <= 11) = 0.999
    assert quantile([3, 4, 5] * 10, 0.9965) == 10
    assert quantile([3, 4, 5] * 10, 0.9985) == 11


def test_range_after_zeros_only_still_allows_a_few() -> None:
    # rule of three: at most 3/30 a pit; Poisson mean 0.1: P(X <= 1) = 0.9953, P(X <= 2) = 0.9998
    usual = usual_count([0] * 30, AREA, LIMITS)

    assert (usual.lowest, usual.highest) == (0, 2)
