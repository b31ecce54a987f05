"""Words that too few of a group of places hold, and what is published in their place."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import Final

from portal.blurring import GeneralisationRules
from portal.blurring.company import PlaceGroup, coarser_words
from portal.statistics.coarse_words import PARENTS, UNTOLD

# By column the words not to be shown, each with the one to show instead.
Wording = Mapping[str, Mapping[str, str]]
AS_RECORDED: Final[Wording] = {}
Holding = tuple[PlaceGroup, str, str, Iterable[str]]  # group of places, unit, column, words


def wordings(held: Iterable[Holding], rules: GeneralisationRules) -> dict[PlaceGroup, Wording]:
    """Return by group of places the words that too few of its units hold."""
    holders: dict[PlaceGroup, dict[str, dict[str, Counter[str]]]] = defaultdict(
        lambda: {column: defaultdict(Counter) for column in PARENTS}
    )
    for group, unit, column, words in held:
        for word in words:
            holders[group][column][word][unit] += 1
    found = {
        group: {
            column: coarser_words(
                by_word, PARENTS[column], UNTOLD[column], rules.units_to_show(group[0])
            )
            for column, by_word in columns.items()
        }
        for group, columns in holders.items()
    }
    return {group: wording for group, wording in found.items() if any(wording.values())}


def reworded(words: Iterable[str], changes: Mapping[str, str]) -> list[str]:
    """Return words with those replaced that may not be shown."""
    return [changes.get(word, word) for word in words]
