"""Checks of how a pit was searched."""

from dataclasses import replace

import pytest

from surveys.visits.facts import PhaseFacts
from tests.surveys.checks.visits import (
    around,
    drench,
    hand_sort,
    kit,
    not_poured,
    pit,
    responses,
    visit,
)


def codes(label: str, phase: PhaseFacts, **known: object) -> list[str]:
    sent = visit(pits=(pit(phases=(hand_sort(1, 1, 1, 1), phase)),))
    return [one.code for one in responses(label, sent, around(**known)) if one.code]


@pytest.mark.parametrize(
    ("phase", "found"),
    [
        (drench(0, 0, 2, 0), []),
        (not_poured(), []),
        (drench(0, 0, 2, 0, state="not_done"), ["expelled-not-poured"]),
        (drench(0, 0, 2, 0, state="not_entered"), ["expelled-not-poured"]),
        (drench(0, 0, 0, 0, volume_ml=400), []),
        (drench(0, 0, 0, 0, volume_ml=399), ["drench-volume"]),
        (drench(0, 0, 0, 0, volume_ml=600), []),
        (drench(0, 0, 0, 0, volume_ml=601), ["drench-volume"]),
        (drench(0, 0, 0, 0, wait_min=4), ["drench-wait"]),
        (drench(0, 0, 0, 0, wait_min=20), []),
        (drench(0, 0, 0, 0, volume_ml=None, wait_min=None), []),
        (drench(0, 0, 0, 0, volume_ml=50, wait_min=0), ["drench-volume", "drench-wait"]),
    ],
    ids=[
        "as the kit says",
        "not poured",
        "not poured but counted",
        "not entered but counted",
        "volume a fifth less",
        "volume less",
        "volume a fifth more",
        "volume more",
        "wait shorter",
        "wait longer",
        "details missing",
        "volume and wait",
    ],
)
def test_drench_is_poured_as_the_kit_says_or_not_at_all(
    phase: PhaseFacts, found: list[str]
) -> None:
    assert codes("VALIDATION_EXPELLANT_CONSISTENT", phase) == found


def test_drench_under_a_kit_without_one_is_found() -> None:
    label = "VALIDATION_EXPELLANT_CONSISTENT"
    school = kit("school-pit/1")

    assert codes(label, drench(0, 0, 0, 0), protocol=school) == ["drench-not-in-kit"]
    assert codes(label, not_poured(), protocol=school) == []


def test_missing_effort_is_named() -> None:
    bare = pit(
        sorting_minutes=None,
        phases=(
            replace(hand_sort(1, 1, 1, 1), state="not_entered"),
            drench(0, 0, 0, 0, volume_ml=None, wait_min=None),
        ),
    )
    sent = visit(people_digging=None, pits=(bare,))

    people, of_pit = responses("VALIDATION_EFFORT_COMPLETE", sent, around())

    assert people.pointer == "/people_digging"
    assert of_pit.comment.startswith(
        "Pit 1: sorting minutes, whether hand sort was done, volume of the drench, "
        "waiting time of the drench is not filled."
    )


def test_effort_that_the_kit_does_not_ask_for_may_be_missing() -> None:
    sent = visit(pits=(pit(sorting_minutes=None, sorted_to_end=None),))

    (response,) = responses(
        "VALIDATION_EFFORT_COMPLETE", sent, around(protocol=kit("contrast-pit/1"))
    )

    assert not response.is_fault


@pytest.mark.parametrize(
    ("minutes", "is_fault"), [(0, True), (4, True), (5, False), (90, False), (91, True)]
)
def test_sorting_time_is_usual(*, minutes: int, is_fault: bool) -> None:
    sent = visit(pits=(pit(sorting_minutes=minutes),))

    (response,) = responses("VALIDATION_SORTINGTIME_LIKELY", sent, around())

    assert response.is_fault is is_fault


def test_pit_without_a_sorting_time_cannot_be_judged() -> None:
    sent = visit(pits=(pit(sorting_minutes=None),))

    (response,) = responses("VALIDATION_SORTINGTIME_LIKELY", sent, around())

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"
