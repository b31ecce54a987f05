"""What may stand beside a place, given the company it has there: words, names, codes of groups.

A cell is shared by k households. A word that only one of them has, a name that leaves one unnamed,
or a group that has one household there would tell them apart again.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import TypeVar

PlaceGroup = tuple[str, str]  # class of places, name of the cell
Least = Callable[[str], int]  # units needed in a class of places
Holders = Mapping[str, Mapping[str, int]]  # of each word, by unit
K = TypeVar("K", bound=Hashable)


def coarser_words(
    holders: Holders, parents: Mapping[str, str], root: str, least: int
) -> dict[str, str]:
    """Return for each word of a group that must not be shown the one to show instead.

    A rare word becomes its parent, if the rare ones of that parent are held by enough units
    together, else the root. Where even the root would be held by too few, the other word whose
    loss costs least goes there too, until it is not. So whatever is shown is held by enough.

    Parameters
    ----------
    holders : mapping
        For each word of the group how often each unit holds it: in how many pits.
    parents : mapping
        The parent of each word; without one it is the root.
    root : str
        What stands for any word.
    least : int
        Units that each shown word needs.
    """
    kinds = {*parents.values()}
    rare = {word for word, units in holders.items() if len(units) < least}
    kind_of = {word: word if word in kinds else parents.get(word, root) for word in rare}
    shown = {word: word for word in holders}
    for kind in set(kind_of.values()):
        lifted = {word for word in rare if kind_of[word] == kind}
        together = {unit for word in lifted | {kind} for unit in holders.get(word, ())}
        shown |= dict.fromkeys(lifted, kind if len(together) >= least else root)
    return _with_company_at_the_root(shown, holders, root, least)


def _with_company_at_the_root(
    shown: dict[str, str], holders: Holders, root: str, least: int
) -> dict[str, str]:
    while True:
        held = _by_shown_word(shown, holders)
        others = sorted((units.total(), word) for word, units in held.items() if word != root)
        if root not in held or len(held[root]) >= least or not others:
            return {word: to for word, to in shown.items() if word != to}
        cheapest = others[0][1]
        shown = {word: root if to == cheapest else to for word, to in shown.items()}


def _by_shown_word(shown: Mapping[str, str], holders: Holders) -> dict[str, Counter[str]]:
    held: dict[str, Counter[str]] = defaultdict(Counter)
    for word, to in shown.items():
        held[to].update(holders[word])
    return held


def too_few_unnamed(
    records: Iterable[tuple[PlaceGroup, str, bool]], least: Least
) -> set[PlaceGroup]:
    """Return the groups of places in which nobody may be named.

    There some, but too few, units would be left unnamed, and known by elimination.

    Parameters
    ----------
    records : iterable
        Group of places, unit, and whether somebody of it is or would be named.
    least : callable
        Units needed in a class of places.
    """
    everybody: dict[PlaceGroup, set[str]] = defaultdict(set)
    named: dict[PlaceGroup, set[str]] = defaultdict(set)
    for group, unit, is_named in records:
        everybody[group].add(unit)
        if is_named:
            named[group].add(unit)
    return {
        group
        for group, units in named.items()
        if 0 < len(everybody[group] - units) < least(group[0])
    }


def thin_places(
    records: Iterable[tuple[K, PlaceGroup, str]], least: int
) -> dict[K, set[PlaceGroup]]:
    """Return the owners that have too few units of their own in a group of places, and which.

    Parameters
    ----------
    records : iterable
        Owner, group of places, and unit.
    least : int
        Units of its own that an owner needs wherever it has any.
    """
    units: dict[tuple[K, PlaceGroup], set[str]] = defaultdict(set)
    for owner, group, unit in records:
        units[owner, group].add(unit)
    thin: dict[K, set[PlaceGroup]] = defaultdict(set)
    for (owner, group), found in units.items():
        if len(found) < least:
            thin[owner].add(group)
    return dict(thin)
