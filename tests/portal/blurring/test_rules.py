"""The settings of the blurring; values from the decision on location generalisation."""

import json
from typing import Any

import pytest

from portal.blurring import GeneralisationRules, RulesError, place_class
from surveys.protocol.vocabulary import PlaceDetail, PlaceKind

DAYS = GeneralisationRules().date_precisions


@pytest.mark.parametrize(
    ("place_kind", "expected"),
    [
        ("private_garden", "household"),
        ("allotment", "household"),
        ("other", "household"),
        ("farm", "farm"),
        ("school_ground", "school"),
        ("public_green", "public_land"),
        ("reserve", "public_land"),
    ],
)
def test_place_class_of_a_kind(place_kind: str, expected: str) -> None:
    assert place_class(place_kind) == expected


def test_unknown_place_kind_is_refused() -> None:
    with pytest.raises(RulesError, match=r"Place kind must be one of .*reserve, not 'moor'"):
        place_class("moor")


def test_every_place_kind_and_detail_of_the_vocabulary_has_a_floor() -> None:
    rules = GeneralisationRules()

    assert set(rules.place_floors) == set(PlaceKind.values)
    assert set(rules.consent_floors) == set(PlaceDetail.values)


def test_default_open_at_is_two_more_than_keep_at() -> None:
    rules = GeneralisationRules()

    assert (rules.keep_at, rules.open_at, rules.institutions_at) == (3, 5, 1)


@pytest.mark.parametrize(
    ("of_class", "to_show", "to_open"),
    [("household", 4, 6), ("farm", 4, 6), ("school", 2, 2), ("public_land", 2, 2)],
)
def test_units_needed_by_place_class(of_class: str, to_show: int, to_open: int) -> None:
    rules = GeneralisationRules(keep_at=4, open_at=6, institutions_at=2)

    assert rules.units_to_show(of_class) == to_show
    assert rules.units_to_open(of_class) == to_open


def test_rules_come_back_from_json_as_they_were() -> None:
    school_floors = {**GeneralisationRules().place_floors, "school_ground": 2}
    rules = GeneralisationRules(keep_at=4, open_at=6, place_floors=school_floors)

    stored = json.dumps(rules.as_dict())

    assert GeneralisationRules.from_dict(json.loads(stored)) == rules


def test_rules_are_stored_by_name() -> None:
    stored = GeneralisationRules().as_dict()

    assert stored == {
        "keep_at": 3,
        "open_at": 5,
        "institutions_at": 1,
        "place_floors": {
            "private_garden": 4,
            "allotment": 4,
            "other": 4,
            "farm": 3,
            "school_ground": 3,
            "public_green": 5,
            "reserve": 5,
        },
        "consent_floors": {
            "fine": 5,
            "standard": 4,
            "coarse": 3,
            "region": 1,
            "no_coordinates": 0,
        },
        "taxon_floors": {"4": 5, "3": 4, "2": 3, "1": 0},
        "unknown_uncertainty_m": 100,
        "date_precisions": {
            "private_garden": "day",
            "allotment": "day",
            "other": "day",
            "farm": "day",
            "school_ground": "month",
            "public_green": "day",
            "reserve": "day",
        },
        "grid": {
            "1": {"step_deg": "1", "allowance_m": 10_000},
            "2": {"step_deg": "0.5", "allowance_m": 5_000},
            "3": {"step_deg": "0.1", "allowance_m": 1_000},
            "4": {"step_deg": "0.01", "allowance_m": 100},
            "5": {"step_deg": "0.001", "allowance_m": 30},
        },
    }


def test_what_a_release_notes_beside_the_rules_is_passed_over() -> None:
    stored = GeneralisationRules().as_dict() | {"setting": {"id": 7}}

    assert GeneralisationRules.from_dict(stored) == GeneralisationRules()


def test_rules_of_a_release_before_there_were_date_precisions_are_read() -> None:
    stored = GeneralisationRules().as_dict()
    del stored["date_precisions"]

    assert GeneralisationRules.from_dict(stored).date_precisions["school_ground"] == "month"


def test_rules_of_another_grid_are_refused() -> None:
    stored = GeneralisationRules().as_dict()
    stored["grid"]["4"]["allowance_m"] = 250

    with pytest.raises(RulesError, match="another grid"):
        GeneralisationRules.from_dict(stored)


@pytest.mark.parametrize(
    ("changed", "complaint"),
    [
        ({"keep_at": 0}, "keep_at <= open_at"),
        ({"keep_at": 6}, "keep_at <= open_at"),
        ({"institutions_at": 0}, "1 <= institutions_at"),
        ({"place_floors": {"farm": 3}}, "one place floor for each of private_garden"),
        ({"consent_floors": {"fine": 6}}, "floors from 0 to 5"),
        ({"taxon_floors": {1: -1}}, "floors from 0 to 5"),
        ({"unknown_uncertainty_m": 0}, "above 0 m"),
        ({"date_precisions": {"farm": "day"}}, "day or month for each of private_garden"),
        ({"date_precisions": {**DAYS, "farm": "hour"}}, "day or month for each"),
    ],
)
def test_rules_that_do_not_hold_together_are_refused(
    changed: dict[str, Any], complaint: str
) -> None:
    with pytest.raises(RulesError, match=complaint):
        GeneralisationRules(**changed)
