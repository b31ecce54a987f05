"""Which animals got another group when a record was verified, as far as numbers tell.

A determination gives a new number per line, not a new label per animal. The fewest moves that turn
the written numbers into the verified ones are taken; where several ways are as short, the animals
are counted as not attributable instead of being guessed.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass
class Moves:
    """Animals by verified and written group.

    Parameters
    ----------
    pairs : Counter
        Animals by (verified group, written group).
    not_attributable : int
        Animals that moved in a way that the numbers leave open.
    added, dropped : int
        Animals of no written line, and written animals of no verified line.
    """

    pairs: Counter[tuple[str, str]] = field(default_factory=Counter)
    not_attributable: int = 0
    added: int = 0
    dropped: int = 0

    def add(self, other: "Moves") -> None:
        """Take in the moves of another step or pit."""
        self.pairs.update(other.pairs)
        self.not_attributable += other.not_attributable
        self.added += other.added
        self.dropped += other.dropped


def fewest_moves(written: Mapping[str, int], verified: Mapping[str, int]) -> Moves:
    """Return the moves between groups within one step of one pit and one life stage.

    Parameters
    ----------
    written, verified : mapping
        Animals by group as recorded and as determined last.
    """
    groups = sorted(written.keys() | verified.keys())
    moves = Moves()
    left, short = {}, {}
    for group in groups:
        before, after = written.get(group, 0), verified.get(group, 0)
        if same := min(before, after):
            moves.pairs[group, group] = same
        if before > after:
            left[group] = before - after
        elif after > before:
            short[group] = after - before
    _move(moves, left, short)
    return moves


def _move(moves: Moves, left: Mapping[str, int], short: Mapping[str, int]) -> None:
    from_left, into_short = sum(left.values()), sum(short.values())
    moved = min(from_left, into_short)
    moves.dropped = from_left - moved
    moves.added = into_short - moved
    if not moved:
        return
    if len(left) == 1 and (len(short) == 1 or from_left >= into_short):
        (source,) = left
        for group, number in short.items():
            moves.pairs[group, source] = min(number, moved)
    elif len(short) == 1 and into_short >= from_left:
        (target,) = short
        for group, number in left.items():
            moves.pairs[target, group] = number
    else:
        moves.not_attributable = moved
