"""Attacks on summaries: counts of one, private units, differences of two filters.

Numbers 10 and 11 of the list. Summaries are computed from public rows, which anybody may count;
what must not happen is that a summary knows more than those rows do.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import pytest

from portal.records.summaries import GROUPINGS
from surveys.people.models import Participant
from tests.attacks.conftest import Tell
from tests.attacks.facts import Change
from tests.attacks.scene import SCHOOL, Answer, json_of, nothing, read, rows_of
from tests.portal.publication.villages import (
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

UNITS = (
    *("household", "participant", "owner", "observer", "recorder", "unit", "group_id", "site"),
    *("households", "observers", "site__owner", "participant_id", "client_ref", "born_on"),
)
COMPUTED = ("summary", "comparison", "agreement", "planning/power", "planning/where")
DAYS = ("2025-04-12", "2025-04-13", "2025-04-14")
Rows = list[dict[str, Any]]


@dataclass(frozen=True)
class Loot:
    """Public pits, every summary of them, and what was answered to private questions."""

    pits: Rows
    summaries: dict[tuple[str, ...], Any]
    by_unit: dict[str, Answer]
    differences: dict[str, Any]


QUESTIONS = [by for size in (2, 3) for by in combinations(GROUPINGS, size)]


def raided(tell_rows: Tell, asked: Sequence[tuple[str, ...]], change: Change = nothing) -> Loot:
    def story() -> None:
        group = village_group()
        homes = village(group, range(5))
        household(group, 8, visited_on=DAYS[1])
        household(group, 7, site=SCHOOL)
        homes[2].visit.pits.filter(number=1).update(habitat="hedge")
        change()
        release(1, mint=fixed_mint)

    loot: Loot = tell_rows(story, lambda: mount(asked))
    return loot


def mount(groupings: Sequence[tuple[str, ...]]) -> Loot:
    summaries = {by: json_of(f"/api/v1/summary?by={','.join(by)}") for by in groupings}
    asked = [f"/api/v1/{name}?by={unit}" for name in COMPUTED for unit in UNITS]
    asked += [f"/api/v1/summary?by=habitat&measure={unit}" for unit in UNITS]
    filters = {"all": "", "less one": f"&sampled_to={DAYS[0]}", "one": f"&sampled_from={DAYS[1]}"}
    return Loot(
        pits=rows_of("pits"),
        summaries=summaries,
        by_unit={one: read(one) for one in asked},
        differences={
            name: json_of(f"/api/v1/summary?by=cell{text}") for name, text in filters.items()
        },
    )


@pytest.fixture(scope="module")
def loot(tell_rows: Tell) -> Loot:
    """Return what was carried away."""
    return raided(tell_rows, QUESTIONS)


def key_of(pit: dict[str, Any], by: tuple[str, ...]) -> tuple[Any, ...]:
    return tuple(pit["sampled_on"][:7] if name == "month" else pit[name] for name in by)


@pytest.mark.parametrize("by", QUESTIONS, ids=",".join)
def test_summary_says_what_public_rows_say_and_no_more(loot: Loot, by: tuple[str, ...]) -> None:
    """10: group by every two and three public fields; each figure is that of public rows."""
    pits, animals, visits = Counter[Any](), Counter[Any](), defaultdict(set)
    for pit in loot.pits:
        key = key_of(pit, by)
        pits[key] += 1
        animals[key] += pit["found"] or 0
        visits[key].add(pit["visit_id"])

    told = {tuple(row[name] for name in by): row for row in loot.summaries[by]["data"]}

    assert {key: row["n_pits"] for key, row in told.items()} == dict(pits)
    assert {key: row["total_count"] for key, row in told.items()} == dict(animals)
    assert {key: row["n_visits"] for key, row in told.items()} == {
        key: len(found) for key, found in visits.items()
    }


def test_counts_of_one_do_occur(loot: Loot) -> None:
    """Without this, the test above would not have met a small cell."""
    smallest = [row["n_pits"] for one in loot.summaries.values() for row in one["data"]]

    assert min(smallest) == 1


def test_private_units_cannot_be_asked_for(loot: Loot) -> None:
    """11: how many households, observers or sites a group of pits comes from."""
    assert {answer.status for answer in loot.by_unit.values()} == {400}
    columns = {name for one in loot.summaries.values() for row in one["data"] for name in row}
    assert {name for name in columns if any(unit in name for unit in UNITS)} == set()


def test_difference_of_two_filters_is_the_public_row_itself(loot: Loot) -> None:
    """11: take a filter that leaves one visit out from one that does not."""

    def total(name: str, figure: str) -> int:
        return sum(row[figure] for row in loot.differences[name]["data"])

    left_out = [pit for pit in loot.pits if pit["sampled_on"] == DAYS[1]]
    for figure in ("n_pits", "total_count"):
        assert total("all", figure) - total("less one", figure) >= 0
    assert total("all", "n_pits") == total("less one", "n_pits") + len(left_out)
    assert total("one", "total_count") >= sum(pit["found"] for pit in left_out)


def test_two_gardens_of_one_household_look_like_those_of_two(tell_rows: Tell, loot: Loot) -> None:
    """11: find out which records share a household; the grouping knows, no answer does."""

    def share_a_household() -> None:
        Participant.objects.filter(code__in=["P03", "P04"]).update(household="the same")

    shared = raided(tell_rows, QUESTIONS[:5], share_a_household)

    assert shared.pits == loot.pits
    assert shared.differences == loot.differences
    assert shared.summaries == {by: loot.summaries[by] for by in QUESTIONS[:5]}
