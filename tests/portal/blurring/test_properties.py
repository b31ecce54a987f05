"""What must hold whatever the sites, the rules and the history (location generalisation)."""

import random
from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod

from portal.blurring import (
    Generalisation,
    PrivateSite,
    PublicPlace,
    finest_level,
    generalise,
    hidden_after_withdrawal,
    place_class,
)
from portal.blurring.rules import PLACE_CLASSES
from tests.portal.blurring.examples import as_text, home
from tests.portal.blurring.histories import History, histories

pytestmark = pytest.mark.slow

WGS84 = Geod(ellps="WGS84")
bounded = settings(max_examples=40, deadline=None)


def units_by_group(
    sites: list[PrivateSite], result: Generalisation
) -> dict[tuple[str, str], set[str]]:
    units = defaultdict(set)
    for site in sites:
        if site.key in result.places:
            group = place_class(site.place_kind), result.places[site.key].cell
            units[group].add(site.unit)
    return units


@bounded
@given(history=histories(), chance=st.randoms(use_true_random=True))
def test_order_of_input_never_matters(history: History, chance: random.Random) -> None:
    opened: dict[str, frozenset[str]] = {}
    for sites, result in history.releases():
        shuffled = chance.sample(sites, len(sites))

        again = generalise(shuffled, opened, history.rules)

        assert as_text(again) == as_text(result)
        opened = result.opened


@bounded
@given(history=histories())
def test_every_site_is_shown_or_withheld(history: History) -> None:
    for sites, result in history.releases():
        assert result.places.keys() | result.withheld == {site.key for site in sites}
        assert not result.places.keys() & result.withheld


@bounded
@given(history=histories())
def test_shown_group_has_enough_units(history: History) -> None:
    for sites, result in history.releases():
        for (group_class, cell), units in units_by_group(sites, result).items():
            assert len(units) >= history.rules.units_to_show(group_class), cell


@bounded
@given(history=histories())
def test_withheld_group_has_too_few_units(history: History) -> None:
    for sites, result in history.releases():
        units = defaultdict(set)
        for site in sites:
            if site.key in result.withheld:
                group = place_class(site.place_kind), home(site, result.opened, history.rules)
                units[group].add(site.unit)
        for (group_class, cell), few in units.items():
            assert len(few) < history.rules.units_to_show(group_class), cell


@bounded
@given(history=histories())
def test_opened_cell_takes_enough_and_leaves_nobody_or_enough(history: History) -> None:
    """A newly opened cell has ``open_at`` units, and so has what stays around it, if anything."""
    before: dict[str, frozenset[str]] = dict.fromkeys(PLACE_CLASSES.values(), frozenset())
    for sites, result in history.releases():
        taken, stayed, parted = defaultdict(set), defaultdict(set), set()
        for site in sites:
            group_class = place_class(site.place_kind)
            old, new = (home(site, opened, history.rules) for opened in (before, result.opened))
            if new == old:
                stayed[group_class, old].add(site.unit)
            else:
                taken[group_class, new].add(site.unit)
                parted.add((group_class, old))
        left = {group: stayed[group] for group in parted & stayed.keys() if group[1] != "root"}
        for (group_class, cell), units in [*taken.items(), *left.items()]:
            assert len(units) >= history.rules.units_to_open(group_class), cell
        before = result.opened


@bounded
@given(history=histories())
def test_site_is_shown_in_its_deepest_opened_cell(history: History) -> None:
    for sites, result in history.releases():
        for site in sites:
            if site.key in result.places:
                shown = result.places[site.key].cell
                assert shown == home(site, result.opened, history.rules)


@bounded
@given(history=histories())
def test_site_is_inside_its_cell(history: History) -> None:
    for sites, result in history.releases():
        for site in sites:
            place = result.places.get(site.key)
            if place is None or place.bounds is None:
                continue
            south, west, north, east = place.bounds
            latitude, longitude = Decimal(site.latitude), Decimal(site.longitude)
            assert south <= latitude < north or latitude == north == 90
            assert west <= longitude < east or (longitude, west) == (180, -180)


@bounded
@given(history=histories())
def test_site_is_within_the_uncertainty_of_the_centre(history: History) -> None:
    """Geodesic distance on WGS 84 by PROJ (pyproj)."""
    for sites, result in history.releases():
        for site in sites:
            place = result.places.get(site.key)
            if place is None or place.uncertainty_m is None:
                continue
            centre = place.longitude, place.latitude
            _, _, distance_m = WGS84.inv(*centre, site.longitude, site.latitude)
            assert distance_m <= place.uncertainty_m


@bounded
@given(history=histories())
def test_site_is_never_finer_than_its_floor(history: History) -> None:
    for sites, result in history.releases():
        for site in sites:
            if site.key in result.places:
                assert result.places[site.key].level <= finest_level(site, history.rules)


@bounded
@given(history=histories())
def test_place_never_becomes_coarser(history: History) -> None:
    levels: dict[str, int] = {}
    for shown in history.shown():
        for key, (_, place) in shown.places.items():
            assert place.level >= levels.get(key, 0)
            levels[key] = place.level


@bounded
@given(history=histories())
def test_later_place_lies_inside_every_earlier_one(history: History) -> None:
    """Also when exact places are permitted for a while and wishes change."""
    earlier: dict[str, PublicPlace] = {}
    for shown in history.shown():
        for key, (_, place) in shown.places.items():
            before = earlier.get(key)
            earlier[key] = place
            if before is None or before.bounds is None:
                continue
            assert place.bounds is not None
            south, west, north, east = place.bounds
            old_south, old_west, old_north, old_east = before.bounds
            # Rounding may carry an exact place over the edge of its cell by half a step.
            slack = Decimal("0.000005")
            assert old_south - slack <= south <= north <= old_north + slack
            assert old_west - slack <= west <= east <= old_east + slack


@bounded
@given(history=histories())
def test_opened_cells_never_close(history: History) -> None:
    before: dict[str, frozenset[str]] = {}
    for _, result in history.releases():
        for group_class, names in before.items():
            assert names <= result.opened[group_class]
        before = result.opened


def assert_never_mixed_again(releases: Iterable[dict[str, tuple[str, str]]]) -> None:
    """Check that sites of one group were in one group at all earlier releases too."""
    apart: set[tuple[str, str]] = set()
    for groups in releases:
        for pair in combinations(sorted(groups), 2):
            if groups[pair[0]] == groups[pair[1]]:
                assert pair not in apart
            else:
                apart.add(pair)


@bounded
@given(history=histories())
def test_places_told_apart_are_never_mixed_again(history: History) -> None:
    """An observer who keeps every release and follows ids still faces the present group."""
    assert_never_mixed_again(
        {key: (group_class, place.cell) for key, (group_class, place) in shown.places.items()}
        for shown in history.shown()
    )


@bounded
@given(history=histories())
def test_groups_told_apart_are_never_mixed_again(history: History) -> None:
    """The same with the groups that are not shown."""
    assert_never_mixed_again(
        {
            site.key: (place_class(site.place_kind), home(site, result.opened, history.rules))
            for site in sites
        }
        for sites, result in history.releases()
    )


@bounded
@given(history=histories())
def test_release_without_changes_changes_nothing(history: History) -> None:
    for sites, result in history.releases():
        again = generalise(sites, result.opened, history.rules)

        assert as_text(again) == as_text(result)


@bounded
@given(history=histories(), chance=st.randoms(use_true_random=True))
def test_withdrawal_hides_exactly_the_groups_left_too_small(
    history: History, chance: random.Random
) -> None:
    for sites, result in history.releases():
        shown = [site for site in sites if site.key in result.places]
        remaining = [site for site in shown if chance.random() < 0.7]

        hidden = hidden_after_withdrawal(remaining, result.opened, history.rules)

        for (group_class, cell), units in units_by_group(remaining, result).items():
            keys = {
                site.key
                for site in remaining
                if (place_class(site.place_kind), result.places[site.key].cell)
                == (group_class, cell)
            }
            too_small = len(units) < history.rules.units_to_show(group_class)
            assert keys & hidden == (keys if too_small else set())
