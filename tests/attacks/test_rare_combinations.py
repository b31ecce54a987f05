"""Attacks by what is rare: a habitat that one site of a group has, a school among gardens.

Numbers 13 and 14 of the list.
"""

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

import pytest

from surveys.visits.models import Pit
from tests.attacks.conftest import Tell
from tests.attacks.scene import rows_of
from tests.factories.private import ConsentFactory
from tests.portal.publication.villages import CELL, household, release, village, village_group

KEEP_AT = 3
Rows = list[dict[str, Any]]
IN_THE_CELL = {"latitude": "52.8855555"}
RARE = {"habitat": "vegetable plot", "management": ["mulched"]}


@dataclass(frozen=True)
class Loot:
    """Rows of a village with something rare in it."""

    visits: Rows
    pits: Rows


def loot_of(tell_rows: Tell, *homes: dict[str, Any], rare: bool = False) -> Loot:
    def story() -> None:
        group = village_group()
        made = village(group, range(6))
        for number, facts in enumerate(homes, start=20):
            household(group, number, **facts)
        if rare:
            Pit.objects.filter(visit=made[2].visit, number=1).update(**RARE)
        release(1)

    loot: Loot = tell_rows(story, lambda: Loot(rows_of("visits"), rows_of("pits")))
    return loot


@pytest.mark.parametrize("column", ["habitat", "management"])
def test_code_of_one_household_is_published_as_its_parent(tell_rows: Tell, column: str) -> None:
    """13: an outsider who sees one vegetable bed in the hamlet finds its record among all.

    For each code, count the sites of the group that show it; fewer than k is a finger that points.
    """
    pits = loot_of(tell_rows, rare=True).pits

    shown: dict[str, set[str]] = defaultdict(set)
    for pit in pits:
        for code in pit[column] if isinstance(pit[column], list) else [pit[column]]:
            shown[code].add(pit["site_id"])
    assert shown
    assert {code: len(sites) for code, sites in shown.items() if len(sites) < KEEP_AT} == {}


@pytest.mark.parametrize("kind", ["farm", "school_ground", "public_green"])
def test_place_of_another_class_does_not_fill_a_group(tell_rows: Tell, kind: str) -> None:
    """14: habitat and management give the class away, so a school among gardens is not one more.

    Two gardens and one other place are three units in one cell, but no three of one class.
    """

    def story() -> None:
        group = village_group()
        village(group, range(2))
        household(group, 20, site=IN_THE_CELL | {"place_kind": kind})
        release(1)

    visits: Rows = tell_rows(story, lambda: rows_of("visits"))

    is_institution = kind != "farm"
    assert len(visits) == is_institution, "gardens are held back; an institution agreed itself"


def test_school_among_gardens_stands_in_a_cell_of_its_own_class(tell_rows: Tell) -> None:
    """14: the school shares no group with the gardens, whatever its cell looks like."""
    school = {"site": IN_THE_CELL | {"place_kind": "school_ground"}}

    visits = loot_of(tell_rows, school).visits

    cells = [row["cell"] for row in visits]
    assert cells.count(CELL) == 6
    assert [cell for cell in cells if cell != CELL] == ["0.1|52.8|-0.8"]


def test_named_neighbours_leave_k_unnamed_ones(tell_rows: Tell) -> None:
    """By elimination: who knows the five households of a cell, and reads three names on rows.

    Two records are left for two households; k is promised to each of them, named or not their
    neighbours. Safe is a name that stands only where k unnamed households, or none, are left.
    """

    def story() -> None:
        homes = village(village_group(), range(5))
        for home in homes[:3]:
            home.participant.shown_name = f"Tamsin {home.participant.code}"
            home.participant.of_age_by = "2020-01-01"
            home.participant.save()
            ConsentFactory.create(participant=home.participant, purpose="be_named")
        release(1)

    visits: Rows = tell_rows(story, lambda: rows_of("visits"))

    unnamed = [row for row in visits if row["recorded_by"] is None]
    assert len(visits) == 5
    assert len(unnamed) not in range(1, KEEP_AT)
