"""Sums over the facts of a pit."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.reference_tables import document
from tests.surveys.checks.visits import count, drench, hand_sort, not_poured, pit

# reference kit, density_checks.json: area_m2 = width_cm * length_cm / 10000
EXAMPLES = document("density_checks.json")["single"]


@pytest.mark.parametrize("example", EXAMPLES)
def test_area_and_density_are_those_of_the_worked_examples(example: dict[str, Any]) -> None:
    one = pit(
        width_cm=Decimal(example["pit_width_cm"]),
        length_cm=Decimal(example["pit_length_cm"]),
        phases=(hand_sort(example["count"], 0, 0, 0),),
    )

    assert float(one.area_m2) == example["area_m2"]
    assert float(one.found() / one.area_m2) == pytest.approx(example["individuals_per_m2"])


def test_found_adds_up_every_step_and_line() -> None:
    one = pit(phases=(hand_sort(1, 3, 0, 4), drench(0, 0, 2, 1)))

    assert one.found() == 11
    assert len(one.counts()) == 8


@pytest.mark.parametrize(
    ("phases", "found", "was_counted"),
    [
        ((hand_sort(0, 0, 0, 0), drench(0, 0, 0, 0)), 0, True),
        ((hand_sort(2, None, None, None), not_poured()), 2, True),
        ((hand_sort(0, None, None, None), not_poured()), 0, True),
        ((hand_sort(None, None, None, None), not_poured()), 0, False),
        ((), 0, False),
    ],
    ids=["zeros", "one line", "one zero", "nothing entered", "no step"],
)
def test_zero_is_told_from_nothing_counted(
    *, phases: tuple[Any, ...], found: int, was_counted: bool
) -> None:
    one = pit(phases=phases)

    assert (one.found(), one.was_counted()) == (found, was_counted)


def test_counts_keep_the_order_of_the_form() -> None:
    lines = (count("anecic", 1), count("epigeic", 2))
    one = pit(phases=(replace(hand_sort(0, 0, 0, 0), counts=lines), drench(3, 4, 5, 6)))

    assert [line.number for line in one.counts()] == [1, 2, 3, 4, 5, 6]
