"""Detection and agreement from trials: numbers put in or found first, and numbers observed.

Animals of one trial share its soil and its observer, so the intervals are too narrow where trials
are few; the number of lines stands beside each share.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from surveys.science.agreement import Proportion, proportion

MIN_KNOWN = 5  # project rule, as for recorders: nothing is said on fewer animals


@dataclass(frozen=True)
class Numbers:
    """One line of a trial: a group, the number known or found first, and the number observed."""

    group: str
    known: int
    observed: int


@dataclass(frozen=True)
class Detection:
    """How many of the known animals of a group were found.

    Parameters
    ----------
    n_lines : int
        Lines of trials that it rests on.
    known, observed : int
        Animals put in, and animals reported.
    beyond : int
        Animals reported beyond those put in: other groups taken for this one.
    share : Proportion or None
        Share found, at most all of each line; None below five known animals.
    """

    n_lines: int
    known: int
    observed: int
    beyond: int
    share: Proportion | None


@dataclass(frozen=True)
class Overlap:
    """How far two observers reported the same numbers of a group.

    Parameters
    ----------
    n_lines : int
        Lines of trials that it rests on.
    first, second : int
        Animals reported by each.
    share : Proportion or None
        Smaller over larger numbers, summed over lines; None below five animals. It is the most
        that they can have agreed, as swapped labels cancel out in numbers.
    """

    n_lines: int
    first: int
    second: int
    share: Proportion | None


def detection_by_group(lines: Iterable[Numbers]) -> dict[str, Detection]:
    """Return the share of known animals found, by group, with Wilson's interval.

    The number that could be found is known here, so detection is a plain proportion.

    Parameters
    ----------
    lines : iterable of Numbers
        Lines of trials with known numbers.
    """
    return {group: _detection(of_group) for group, of_group in _by_group(lines).items()}


def overlap_by_group(lines: Iterable[Numbers]) -> dict[str, Overlap]:
    """Return how far two observers agreed in numbers, by group, with Wilson's interval.

    The sum of the smaller over the sum of the larger numbers is Ruzicka's similarity of two lists
    of abundances (Ruzicka 1958, Biologia 13:647-661; from memory).

    Parameters
    ----------
    lines : iterable of Numbers
        Lines of trials with two observers; the first one's numbers are the known ones.
    """
    return {group: _overlap(of_group) for group, of_group in _by_group(lines).items()}


def _by_group(lines: Iterable[Numbers]) -> dict[str, list[Numbers]]:
    groups: dict[str, list[Numbers]] = defaultdict(list)
    for line in lines:
        groups[line.group].append(line)
    return dict(sorted(groups.items()))


def _detection(lines: list[Numbers]) -> Detection:
    known = sum(line.known for line in lines)
    observed = sum(line.observed for line in lines)
    found = sum(min(line.known, line.observed) for line in lines)
    share = proportion(found, known) if known >= MIN_KNOWN else None
    return Detection(len(lines), known, observed, observed - found, share)


def _overlap(lines: list[Numbers]) -> Overlap:
    smaller = sum(min(line.known, line.observed) for line in lines)
    larger = sum(max(line.known, line.observed) for line in lines)
    return Overlap(
        n_lines=len(lines),
        first=sum(line.known for line in lines),
        second=sum(line.observed for line in lines),
        share=proportion(smaller, larger) if larger >= MIN_KNOWN else None,
    )
