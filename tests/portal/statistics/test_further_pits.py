"""Where a further pit tells most, against widths worked by hand."""

import math
from typing import Any

import numpy as np
import pytest

from portal.statistics.further_pits import NO_PLACE, TOO_FEW, log_width, rank_further_pits
from portal.statistics.negative_binomial import fit
from portal.statistics.samples import PitSample
from portal.statistics.tallies import DRENCHED, SORTED_ONLY, PitTally

HERE, THERE = "0.01|52.88|-0.72", "0.1|52.7|-0.5"
Z = 1.959964  # 97.5 percent point of the normal distribution


def pits(cell: str, habitat: str, *numbers: int, **more: Any) -> list[PitTally]:
    kit, steps = more.get("kit", "kit A"), more.get("steps", DRENCHED)
    return [
        PitTally(
            {
                "pit_id": f"{cell} {habitat} {kit} {place}",
                "visit_id": "v",
                "site_id": "s",
                "area_m2": more.get("area_m2", 0.04),
                "habitat": habitat,
                "cell": cell,
                "latitude": 52.885,
                "longitude": -0.715,
            },
            kit,
            steps,
            number,
            counted=True,
        )
        for place, number in enumerate(numbers)
    ]


@pytest.mark.parametrize("n_pits", [1, 4, 9])
def test_width_with_equal_pits_is_that_of_the_delta_method(n_pits: int) -> None:
    # variance of a log mean of n negative binomial counts: (1/mu + alpha) / n
    width = log_width([6.0] * n_pits, 0.4)

    assert width == pytest.approx(2 * Z * math.sqrt((1 / 6 + 0.4) / n_pits), rel=1e-6)


def test_width_covers_as_stated_in_simulation() -> None:
    random = np.random.default_rng(216)
    counts = random.negative_binomial(2.5, 2.5 / (2.5 + 20), (4000, 60))

    inside = np.abs(np.log(counts.mean(axis=1) / 20)) < log_width([20.0] * 60, 1 / 2.5) / 2

    assert inside.mean() == pytest.approx(0.95, abs=0.015)


def test_gain_is_the_difference_of_both_widths() -> None:
    counts = (9, 2, 14, 6, 3, 8)

    (place,) = rank_further_pits(pits(HERE, "lawn", *counts)).ranked

    alpha = fit([PitSample("lawn", counts, (0.04,) * 6)]).alpha
    assert alpha > 0
    spread = 2 * Z * math.sqrt(1 / 7 + alpha)  # 42 animals in 6 pits
    assert place.width_now == pytest.approx(spread / math.sqrt(6), rel=1e-6)
    assert place.gain == pytest.approx(spread * (6**-0.5 - 7**-0.5), rel=1e-6)
    assert "one pit more than the present 6" in place.sentence


def test_the_place_with_fewer_pits_comes_first() -> None:
    dug = [*pits(THERE, "lawn", 9, 2, 14, 6, 3), *pits(HERE, "lawn", 8)]

    ranked = rank_further_pits(dug).ranked

    assert [(place.cell, place.n_pits) for place in ranked] == [(HERE, 1), (THERE, 5)]


def test_at_equal_numbers_the_poorer_habitat_comes_first() -> None:
    dug = [*pits(HERE, "lawn", 20, 22, 18, 20), *pits(HERE, "hedge", 2, 1, 3, 2)]

    ranked = rank_further_pits(dug).ranked

    assert [place.habitat for place in ranked] == ["hedge", "lawn"]


def test_a_habitat_without_animals_is_ranked_as_with_half_of_one() -> None:
    dug = [*pits(HERE, "lawn", 9, 2, 14, 6, 3), *pits(HERE, "bog", 0, 0)]

    first = rank_further_pits(dug).ranked[0]

    alpha = fit([PitSample("lawn", (9, 2, 14, 6, 3), (0.04,) * 5)]).alpha
    assert first.habitat == "bog"
    assert first.width_now == pytest.approx(2 * Z * math.sqrt((4 + alpha) / 2), rel=1e-6)
    assert "over 100" in first.sentence


def test_kits_and_steps_are_ranked_apart() -> None:
    dug = [
        *pits(HERE, "lawn", 9, 2, 14, 6, 3),
        *pits(HERE, "lawn", 9, 2, 14, 6, 3, kit="kit B", steps=SORTED_ONLY),
    ]

    ranked = rank_further_pits(dug).ranked

    assert [(place.kit, place.steps, place.n_pits) for place in ranked] == [
        ("kit A", DRENCHED, 5),
        ("kit B", SORTED_ONLY, 5),
    ]


def test_hidden_places_and_small_kits_are_left_out() -> None:
    dug = [*pits("root", "lawn", 1, 2), *pits(HERE, "lawn", 1, 2, 3)]

    ranking = rank_further_pits(dug)

    assert ranking.ranked == ()
    assert ranking.left_out == {TOO_FEW: 3, NO_PLACE: 2}


def test_nothing_found_anywhere_still_gives_a_width() -> None:
    (place,) = rank_further_pits(pits(HERE, "bog", *[0] * 5000)).ranked

    assert 0 < place.gain < place.width_now < math.inf
