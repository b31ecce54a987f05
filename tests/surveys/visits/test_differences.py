"""What differs between two states of a visit."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from surveys.visits.differences import Difference, differences
from surveys.visits.facts import VisitFacts
from tests.surveys.checks.visits import count, drench, hand_sort, not_poured, pit, soil, visit


def with_pit(**changes: Any) -> VisitFacts:
    return visit(pits=(pit(**changes),))


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, []),
        ({"width_cm": Decimal("20.00")}, []),
        ({"habitat": "hedge"}, [("pits/1/habitat", "lawn", "hedge")]),
        (
            {"phases": (hand_sort(1, 3, 0, 5), drench(0, 0, 1, 0))},
            [("pits/1/hand_sort/unassigned juvenile", 4, 5)],
        ),
        (
            {"phases": (hand_sort(1, 3, None, 4), drench(0, 0, 1, 0))},
            [("pits/1/hand_sort/anecic adult", 0, "not_entered")],
        ),
        (
            {"soil": (soil("moisture", "wet", "squeeze"), soil("colour", "10YR 3/2", "moist"))},
            [("pits/1/soil/moisture", "moist by squeeze", "wet by squeeze")],
        ),
    ],
)
def test_change_of_a_pit_is_told_by_its_field(
    changes: dict[str, Any], expected: list[tuple[str, Any, Any]]
) -> None:
    found = differences(with_pit(), with_pit(**changes))

    assert found == [Difference(*one) for one in expected]


def test_step_that_was_not_done_changes_its_lines_and_its_details() -> None:
    found = differences(with_pit(), with_pit(phases=(hand_sort(1, 3, 0, 4), not_poured())))

    changed = {one.field.removeprefix("pits/1/expellant/"): one.after for one in found}
    assert changed == {
        "state": "not_done",
        "agent": "",
        "volume_ml": None,
        "wait_min": None,
        "epigeic adult": "not_looked_for",
        "endogeic adult": "not_looked_for",
        "anecic adult": "not_looked_for",
        "unassigned juvenile": "not_looked_for",
    }


def test_pit_that_was_left_out_is_nothing_afterwards() -> None:
    found = differences(visit(pits=(pit(), pit(2))), visit(pits=(pit(),)))

    assert {one.field.split("/")[1] for one in found} == {"2"}
    assert {one.after for one in found} == {None}


def test_line_of_a_taxon_is_told_by_its_name() -> None:
    line = count("anecic", 2, taxon="Lumbricus terrestris")
    sorted_soil = replace(hand_sort(1, 3, 0, 4), counts=(line,))
    more = replace(sorted_soil, counts=(replace(line, number=3),))

    assert differences(with_pit(phases=(sorted_soil,)), with_pit(phases=(more,))) == [
        Difference("pits/1/hand_sort/anecic adult Lumbricus terrestris", 2, 3)
    ]
