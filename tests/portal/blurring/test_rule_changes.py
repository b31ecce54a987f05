"""What differs between two sets of rules, and which differences let more be seen."""

from dataclasses import replace
from typing import Any

import pytest

from portal.blurring import GeneralisationRules, RuleChange, rule_changes

TODAY = GeneralisationRules()


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({"keep_at": 2}, RuleChange("keep_at", 3, 2, lets_more_be_seen=True)),
        ({"keep_at": 4}, RuleChange("keep_at", 3, 4, lets_more_be_seen=False)),
        ({"open_at": 4}, RuleChange("open_at", 5, 4, lets_more_be_seen=True)),
        ({"institutions_at": 2}, RuleChange("institutions_at", 1, 2, lets_more_be_seen=False)),
        (
            {"unknown_uncertainty_m": 30},
            RuleChange("unknown_uncertainty_m", 100, 30, lets_more_be_seen=True),
        ),
        (
            {"place_floors": {**TODAY.place_floors, "farm": 4}},
            RuleChange("place_floors.farm", 3, 4, lets_more_be_seen=True),
        ),
        (
            {"taxon_floors": {**TODAY.taxon_floors, 2: 2}},
            RuleChange("taxon_floors.2", 3, 2, lets_more_be_seen=False),
        ),
        (
            {"date_precisions": {**TODAY.date_precisions, "school_ground": "day"}},
            RuleChange("date_precisions.school_ground", "month", "day", lets_more_be_seen=True),
        ),
        (
            {"date_precisions": {**TODAY.date_precisions, "farm": "month"}},
            RuleChange("date_precisions.farm", "day", "month", lets_more_be_seen=False),
        ),
    ],
)
def test_change_is_named_and_judged(changed: dict[str, Any], expected: RuleChange) -> None:
    assert rule_changes(TODAY, replace(TODAY, **changed)) == [expected]


def test_same_rules_differ_in_nothing() -> None:
    assert rule_changes(TODAY, GeneralisationRules()) == []


def test_every_change_is_listed() -> None:
    changes = rule_changes(TODAY, GeneralisationRules(keep_at=4, open_at=7))

    assert [change.rule for change in changes] == ["keep_at", "open_at"]
