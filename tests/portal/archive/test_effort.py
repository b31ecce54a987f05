"""Effort as sentence and number."""

from typing import Any

import pytest

from portal.archive.effort import (
    measured_pit_effort,
    measured_step_effort,
    measured_visit_effort,
    pit_effort,
    step_effort,
    visit_effort,
)
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
)


@pytest.mark.parametrize(
    ("columns", "sentence"),
    [
        ({"pits": 2, "people_digging": 3}, "2 pits by 3 people"),
        ({"pits": 1, "people_digging": 1}, "1 pit by 1 person"),
        ({"pits": 2, "people_digging": None}, "2 pits"),
    ],
)
def test_visit_effort_counts_pits_and_people(columns: dict[str, Any], sentence: str) -> None:
    assert visit_effort(PublishedVisitFactory.build(**columns)) == sentence


@pytest.mark.parametrize(
    ("columns", "sentence"),
    [
        ({}, "1 pit, 20 minutes hand sorting, 500 ml mustard water, 5 minutes wait"),
        ({"expellant": "not_done"}, "1 pit, 20 minutes hand sorting"),
        ({"hand_sort": "not_done", "expellant": "not_entered"}, "1 pit"),
        (
            {"sorting_minutes": None, "expellant": "not_done"},
            "1 pit, hand sorting, time not noted",
        ),
        (
            {"hand_sort": "not_done", "expellant_ml": None, "expellant_wait_min": None},
            "1 pit, mustard water, time not noted",
        ),
        (
            {"hand_sort": "not_done", "expellant_agent": None, "expellant_wait_min": 1},
            "1 pit, 500 ml expellant, 1 minute wait",
        ),
    ],
)
def test_pit_effort_names_only_the_steps_done(columns: dict[str, Any], sentence: str) -> None:
    assert pit_effort(PublishedPitFactory.build(**columns)) == sentence


@pytest.mark.parametrize(
    ("method", "sentence"),
    [
        ("hand_sort", "20 minutes hand sorting"),
        ("expellant", "500 ml mustard water, 5 minutes wait"),
    ],
)
def test_step_effort_is_that_of_the_step(method: str, sentence: str) -> None:
    assert step_effort(PublishedCountFactory.build(method=method)) == sentence


def test_measured_effort_has_a_value_with_its_unit() -> None:
    visit = measured_visit_effort(PublishedVisitFactory.build(pits=2))
    pit = measured_pit_effort(PublishedPitFactory.build(sorting_minutes=20))
    drench = measured_step_effort(PublishedCountFactory.build(method="expellant"))

    assert (visit.value, visit.unit) == (2, "pits")
    assert pit is not None
    assert (pit.value, pit.unit) == (20, "minutes")
    assert drench is not None
    assert (drench.value, drench.unit) == (5, "minutes")


def test_measured_effort_is_nothing_where_no_time_was_noted() -> None:
    sorting = PublishedCountFactory.build(method="hand_sort", sorting_minutes=None)
    drench = PublishedCountFactory.build(method="expellant", expellant_wait_min=None)

    assert measured_step_effort(sorting) is None
    assert measured_step_effort(drench) is None
