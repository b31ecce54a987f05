"""Areas and pooled amounts, against the arithmetic of ``density_checks.json``."""

from typing import Any

import pytest

from portal.statistics.samples import PitSample, area_m2, pooled_per_m2
from tests.reference_tables import document

CHECKS = document("density_checks.json")


@pytest.mark.parametrize("pit", CHECKS["single"])
def test_single_pit_matches_worked_example(pit: dict[str, float]) -> None:
    area = area_m2(pit["pit_width_cm"], pit["pit_length_cm"])

    assert area == pytest.approx(pit["area_m2"], rel=1e-12)
    assert pooled_per_m2([pit["count"]], [area]) == pytest.approx(
        pit["individuals_per_m2"], abs=5e-7
    )
    assert pooled_per_m2([pit["fresh_mass_g"]], [area]) == pytest.approx(
        pit["mass_g_per_m2"], abs=5e-7
    )


@pytest.mark.parametrize("case", CHECKS["pooled"])
def test_pooling_is_ratio_of_sums_and_not_mean_of_densities(case: Any) -> None:
    sample = PitSample(
        "lawn",
        tuple(pit["count"] for pit in case["pits"]),
        tuple(pit["area_m2"] for pit in case["pits"]),
    )

    assert sample.per_m2 == pytest.approx(case["pooled_per_m2"], abs=5e-7)
    assert sample.per_m2 != pytest.approx(case["mean_of_densities_wrong"], abs=1)


@pytest.mark.parametrize("sides", [(0, 20), (20, -1)])
def test_area_refuses_a_side_that_is_not_above_zero(sides: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above 0 cm"):
        area_m2(*sides)


@pytest.mark.parametrize(
    ("counts", "areas", "words"),
    [
        ((), (), "needs an area"),
        ((1, 2), (0.04,), "needs an area"),
        ((1,), (0.0,), "above 0 m2"),
        ((-1,), (0.04,), "whole number"),
        ((2.5,), (0.04,), "whole number"),
    ],
)
def test_sample_refuses_what_cannot_be_counted(
    counts: tuple[int, ...], areas: tuple[float, ...], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        PitSample("lawn", counts, areas)


def test_sample_adds_up() -> None:
    sample = PitSample("lawn", (6, 10, 0), (0.04, 0.0625, 0.04))

    assert (sample.n_pits, sample.total_count) == (3, 16)
    assert sample.total_area_m2 == pytest.approx(0.1425)
