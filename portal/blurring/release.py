"""One run of the blurring over all sites of a release."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from portal.blurring.grid import (
    ROOT,
    cell_at,
    cell_from_name,
    cell_name,
    latitude_e7,
    level_of,
    longitude_e7,
)
from portal.blurring.grouping import Groups, Member, count_units, group_by_opened, refine
from portal.blurring.places import PublicPlace, place_of
from portal.blurring.rules import PLACE_CLASSES, GeneralisationRules, RulesError, place_class
from portal.blurring.sites import PrivateSite, SiteError, finest_level

Opened = Mapping[str, Iterable[str]]


@dataclass(frozen=True)
class Generalisation:
    """The public places of a release.

    Parameters
    ----------
    places
        Public place by site key, for the sites that are shown, in the order of the keys.
    withheld
        Keys of the sites that are not shown, as their group is too small.
    opened
        Names of the cells opened up to now by place class: keep them for the next release.
        The root is always open and not listed.
    """

    places: dict[str, PublicPlace]
    withheld: frozenset[str]
    opened: dict[str, frozenset[str]]


def generalise(
    sites: Iterable[PrivateSite], opened: Opened, rules: GeneralisationRules
) -> Generalisation:
    """Give every site that can be shown its public place.

    Parameters
    ----------
    sites
        All sites to be published, except those with permission for the exact place.
    opened
        The cells opened by earlier releases, by place class.

    Raises
    ------
    CellNameError, PositionError, RulesError, SiteError
        If an opened cell, a position, a term or a key cannot be used.
    """
    shown: dict[str, int] = {}
    withheld: set[str] = set()
    grown: dict[str, frozenset[str]] = {}
    for name, members, cells in _by_class(sites, opened, rules):
        groups = _regroup(members, cells, rules.units_to_open(name))
        for cell, group in groups.items():
            if count_units(group) >= rules.units_to_show(name):
                shown.update((member.key, cell) for member in group)
            else:
                withheld.update(member.key for member in group)
        grown[name] = frozenset(cell_name(cell) for cell in (cells | groups.keys()) - {ROOT})
    places = {cell: place_of(cell) for cell in set(shown.values())}
    return Generalisation(
        places={key: places[shown[key]] for key in sorted(shown)},
        withheld=frozenset(withheld),
        opened=grown,
    )


def hidden_after_withdrawal(
    remaining: Iterable[PrivateSite], opened: Opened, rules: GeneralisationRules
) -> frozenset[str]:
    """Return the sites to hide at once, since a withdrawal left their group too small.

    Parameters
    ----------
    remaining
        The sites shown by the current release that are still there; nobody who joined later.
    opened
        The opened cells that the current release left behind.

    Raises
    ------
    CellNameError, PositionError, RulesError, SiteError
        If an opened cell, a position, a term or a key cannot be used.
    """
    return frozenset(
        member.key
        for name, members, cells in _by_class(remaining, opened, rules)
        for group in group_by_opened(members, cells).values()
        if count_units(group) < rules.units_to_show(name)
        for member in group
    )


def may_stay(site: PrivateSite, cell: str, rules: GeneralisationRules) -> bool:
    """Tell whether a site may still be shown in a cell: it lies there, and its limit allows it.

    Raises
    ------
    CellNameError, PositionError, RulesError, SiteError
        If the name, the position or a term cannot be used.
    """
    named = cell_from_name(cell)
    level = level_of(named)
    here = cell_at(latitude_e7(site.latitude), longitude_e7(site.longitude), level)
    return here == named and level <= finest_level(site, rules)


def homes(
    sites: Iterable[PrivateSite], opened: Opened, rules: GeneralisationRules
) -> dict[str, str]:
    """Return by key the cell whose group each site would join before any cell is opened.

    Raises
    ------
    CellNameError, PositionError, RulesError, SiteError
        If an opened cell, a position, a term or a key cannot be used.
    """
    return {
        member.key: cell_name(cell)
        for _, members, cells in _by_class(sites, opened, rules)
        for cell, group in group_by_opened(members, cells).items()
        for member in group
    }


def _by_class(
    sites: Iterable[PrivateSite], opened: Opened, rules: GeneralisationRules
) -> Iterator[tuple[str, list[Member], set[int]]]:
    """Yield each place class with its sites and its opened cells.

    Raises
    ------
    RulesError
        If cells were opened for a place class that does not exist.
    SiteError
        If a key was given twice.
    """
    members: dict[str, list[Member]] = {name: [] for name in PLACE_CLASSES.values()}
    if unknown := set(opened) - set(members):
        message = f"Opened cells of unknown place classes: {', '.join(sorted(unknown))}."
        raise RulesError(message)
    seen: set[str] = set()
    for site in sites:
        if site.key in seen:
            message = f"Site {site.key} was given twice."
            raise SiteError(message)
        seen.add(site.key)
        members[place_class(site.place_kind)].append(_member(site, rules))
    for name, of_class in members.items():
        yield name, of_class, {cell_from_name(cell) for cell in opened.get(name, ())} - {ROOT}


def _member(site: PrivateSite, rules: GeneralisationRules) -> Member:
    latitude, longitude = latitude_e7(site.latitude), longitude_e7(site.longitude)
    return Member(cell_at(latitude, longitude, finest_level(site, rules)), site.unit, site.key)


def _regroup(members: list[Member], opened: set[int], open_at: int) -> Groups:
    """Group the sites of one place class by the cells opened before and now."""
    groups: Groups = {}
    for cell, group in group_by_opened(members, opened).items():
        groups |= refine(cell, group, open_at)
    return groups
