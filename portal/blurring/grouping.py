"""Grouping the sites of one place class: cells are opened from fine to coarse, and stay open."""

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from typing import NamedTuple

from portal.blurring.grid import FINEST_LEVEL, ROOT, level_of, parent


class Member(NamedTuple):
    """A site as the grouping sees it: its cell at its finest level, its unit and its key."""

    cell: int
    unit: str
    key: str


Groups = dict[int, list[Member]]


def count_units(members: Iterable[Member]) -> int:
    """Return the number of households, farms or institutions among the members."""
    return len({member.unit for member in members})


def group_by_opened(members: Iterable[Member], opened: Container[int]) -> Groups:
    """Put each member in the group of its deepest opened cell; the root is always open."""
    groups: Groups = defaultdict(list)
    deepest: dict[int, int] = {}
    for member in members:
        if member.cell not in deepest:
            deepest[member.cell] = _deepest_opened(member.cell, opened)
        groups[deepest[member.cell]].append(member)
    return groups


def _deepest_opened(cell: int, opened: Container[int]) -> int:
    while cell != ROOT and cell not in opened:
        cell = parent(cell)
    return cell


def refine(own_cell: int, members: Iterable[Member], open_at: int) -> Groups:
    """Return the groups one group falls into: one for each cell it opens, and what is left.

    Only a cell that itself keeps ``open_at`` units is opened; what is left in the group's own
    cell must be nobody or ``open_at`` units as well, else it would give its few members away.
    At the root a small rest may remain: it is not shown.
    """
    opening, left = _gather(own_cell, members, open_at)
    # One cell is enough to give back, since each cell being opened has open_at units itself.
    if own_cell != ROOT and opening and 0 < count_units(left) < open_at:
        left += opening.pop(_to_give_back(opening))
    if left:
        opening[own_cell] = left
    return opening


def _gather(own_cell: int, members: Iterable[Member], open_at: int) -> tuple[Groups, list[Member]]:
    """Hand the sites of too small cells to the parent, level by level.

    Returns
    -------
    tuple
        The cells big enough to be opened with what they keep, and what arrived in ``own_cell``.
    """
    own_level = level_of(own_cell)
    held: list[Groups] = [defaultdict(list) for _ in range(FINEST_LEVEL + 1)]
    for member in members:
        held[level_of(member.cell)][member.cell].append(member)
    opening: Groups = {}
    for level in range(FINEST_LEVEL, own_level, -1):
        for cell, inside in held[level].items():
            if len(inside) >= open_at and count_units(inside) >= open_at:
                opening[cell] = inside
            else:
                held[level - 1][parent(cell)] += inside
    return opening, held[own_level][own_cell]


def _to_give_back(opening: Mapping[int, list[Member]]) -> int:
    """Choose the outermost cell with fewest units; ties: coarsest level, south, west."""
    outermost = (cell for cell in opening if not _is_inside(cell, opening))
    return min(outermost, key=lambda cell: (count_units(opening[cell]), cell))


def _is_inside(cell: int, others: Container[int]) -> bool:
    while cell != ROOT:
        cell = parent(cell)
        if cell in others:
            return True
    return False
