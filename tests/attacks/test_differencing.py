"""Attacks by difference: of releases, of cells, of what an attacker already knows.

Numbers 8 and 9 of the list, and the attacker who knows every participating site, keeps every
release and follows record ids. What the published cell allows: at least ``keep_at`` households
to choose from, so that a guess is right once in three times at best.
"""

from collections import defaultdict
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from typing import Any

import pytest

from portal.blurring import GeneralisationRules
from portal.publication.changed_places import correct_place
from portal.publication.placing import unit_of
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from surveys.sites.models import Site
from surveys.sites.operations import CorrectedPlace
from surveys.visits.models import Visit
from tests.attacks.conftest import Tell
from tests.attacks.scene import json_of, rows_of
from tests.attacks.simulation import RULES, Chapter, candidates, edges_of, history, lies_in
from tests.portal.publication.villages import (
    FIRST_AT,
    fixed_mint,
    household,
    release,
    village_group,
)

SEEDS = range(3)
KEEP_AT = RULES.keep_at
STEP = Decimal("0.01")
Rows = list[dict[str, Any]]


@pytest.fixture(scope="module")
def histories() -> list[list[Chapter]]:
    """Return regions over six releases each, with 300 gardens that joined."""
    return [history(seed) for seed in SEEDS]


def test_attacker_who_knows_every_site_has_k_households_to_choose_from(
    histories: list[list[Chapter]],
) -> None:
    """Follow each record through all releases and strike out whoever it cannot be.

    The rate: one guess a record at what is left, over all records. It must not be better than
    one in ``keep_at``, and no record may stand alone.
    """
    guessed, left = 0.0, []
    for chapters in histories:
        for unit, by_place, by_rule in candidates(chapters):
            assert unit in by_rule <= by_place
            left.append(len(by_rule))
            guessed += 1 / len(by_rule)

    assert len(left) > 500, "there is something to attack"
    assert min(left) >= KEEP_AT
    assert guessed / len(left) <= 1 / KEEP_AT


def test_same_attack_succeeds_on_cells_computed_afresh(histories: list[list[Chapter]]) -> None:
    """The program must be able to win: without opened cells that stay, and without k, it does.

    Here each record is shown in the 0.01 degree cell of its garden, whoever else is there.
    """
    alone = 0
    for chapters in histories:
        last = chapters[-1]
        for key in last.shown:
            site = last.sites[key]
            south = Decimal(site.latitude).quantize(STEP, ROUND_FLOOR)
            west = Decimal(site.longitude).quantize(STEP, ROUND_FLOOR)
            inside = {s.unit for s in last.sites.values() if lies_in(s, f"0.01|{south}|{west}")}
            alone += len(inside) < KEEP_AT

    assert alone > 20


def test_shown_cell_less_finer_shown_cells_keeps_k(histories: list[list[Chapter]]) -> None:
    """9: take from each shown cell all finer shown ones; who is left must still be k."""
    residues = 0
    for chapter in (chapter for chapters in histories for chapter in chapters):
        units: dict[str, set[str]] = defaultdict(set)
        for key, cell in chapter.shown.items():
            units[cell].add(chapter.sites[key].unit)
        residues += sum(one != other and inside(one, other) for one in units for other in units)
        assert min(map(len, units.values())) >= KEEP_AT

    assert residues > 20, "cells within cells are shown"


def inside(finer: str, coarser: str) -> bool:
    south, west, north, east = edges_of(finer)
    bottom, left, top, right = edges_of(coarser)
    return bottom <= south < north <= top and left <= west < east <= right


@dataclass(frozen=True)
class Kept:
    """What an attacker keeps of three releases, and what is told of the withdrawal between."""

    releases: list[Rows]
    units: dict[str, str]  # of public site ids: the truth, for judging the guesses
    feed: Rows


@pytest.fixture(scope="module")
def kept(tell_rows: Tell) -> Kept:
    """Tell of gardens in one coarse cell; one joins, one leaves, one is put elsewhere."""
    kept: Kept = tell_rows(joining_and_leaving, keep)
    return kept


def joining_and_leaving() -> None:
    """Seven gardens share a fine cell and six lie around it; the rest follows one by one."""
    group = village_group()
    for number in range(7):
        household(group, number)
    for number in range(10, 16):
        household(group, number, site={"latitude": Decimal("52.83") + Decimal(number) / 100})
    release(1, mint=fixed_mint)
    household(group, 7)
    release(2, mint=fixed_mint)
    withdraw_visits(
        visits=Visit.objects.filter(client_ref="V02"),
        reason_class=ReasonClass.ERASURE,
        at=FIRST_AT.replace(day=30, month=7, hour=12),
        by="group QVD",
    )
    moved = Site.objects.get(code="garden-5")
    place = CorrectedPlace(
        latitude=Decimal("52.8312345"),
        longitude=moved.longitude,
        uncertainty_m=5.0,
        placed_by_hand=False,
        place_kind=moved.place_kind,
        place_detail="standard",
    )
    correct_place(site=moved, place=place, at=FIRST_AT.replace(day=31, month=7), by="group QVD")
    release(3, mint=fixed_mint)


def keep() -> Kept:
    numbers = (1, 2, 3)
    sites = Site.objects.filter(public_id__isnull=False).select_related("owner")
    return Kept(
        releases=[rows_of("visits", f"&release={number}") for number in numbers],
        units={str(site.public_id): unit_of(site) for site in sites},
        feed=json_of("/api/v1/changes?limit=1000")["data"],
    )


def test_one_addition_is_not_found_by_difference(kept: Kept) -> None:
    """8: take the old release from the new; the newcomer stands in a group that was there."""
    first, second, _ = kept.releases
    known = {row["site_id"] for row in first}
    (newcomer,) = [row for row in second if row["site_id"] not in known]
    group = {row["site_id"] for row in second if row["cell"] == newcomer["cell"]}

    assert newcomer["cell"] in {row["cell"] for row in first}
    assert len({kept.units[site] for site in group if site in kept.units}) >= KEEP_AT
    assert [row["cell"] for row in first if row["site_id"] in group] == [newcomer["cell"]] * (
        len(group) - 1
    ), "nobody else moved because of it"


def test_every_release_as_it_is_today_keeps_k_in_each_cell(kept: Kept) -> None:
    """8: difference releases after a withdrawal and a correction; old ones are cut as well."""
    for rows in kept.releases:
        sites = defaultdict(set)
        for row in rows:
            sites[row["cell"]].add(row["site_id"])
        assert min(map(len, sites.values())) >= KEEP_AT


def test_garden_put_elsewhere_is_another_site_to_readers(kept: Kept) -> None:
    """Follow ids over a corrected place, to cut old cell and new cell; the ids end."""
    _, second, third = kept.releases
    withdrawn = {item["id"] for item in kept.feed if item["change"] == "withdrawn"}

    assert withdrawn
    assert withdrawn & {row["id"] for row in (*second, *third)} == set()
    cells = defaultdict(set)
    for row in (*second, *third):
        cells[row["site_id"]].add(row["cell"])
    assert {len(found) for found in cells.values()} == {1}


def test_rules_of_the_simulation_are_those_of_the_product() -> None:
    assert GeneralisationRules() == RULES
    assert (RULES.keep_at, RULES.open_at) == (3, 5)
