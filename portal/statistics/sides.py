"""The two sides of a comparison: which pits belong to which, in plain words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from portal.statistics.coarse_words import is_coarse

OTHERS = "not "
# What pits may be compared by, and how a side is named in a sentence.
NAMES = {
    "habitat": ("{}", "other ground than {}"),
    "management": ("{} ground", "ground not {}"),
    "moisture": ("{} soil", "soil not {}"),
    "season": ("{}", "other seasons than {}"),
}
ON_BOTH_SIDES = "on both sides of the comparison"


@dataclass(frozen=True)
class Side:
    """Pits with any of some words, or with none of them.

    Parameters
    ----------
    by : str
        A key of `NAMES`.
    words : tuple of str
        Words of that vocabulary.
    others : bool
        Whether the pits without these words are meant.
    """

    by: str
    words: tuple[str, ...]
    others: bool = False

    @property
    def name(self) -> str:
        """Return the side in words for a sentence."""
        return NAMES[self.by][self.others].format(" or ".join(self.words))

    @property
    def asked(self) -> str:
        """Return the side as it is written in a query."""
        return (OTHERS if self.others else "") + ",".join(self.words)

    def takes(self, words: tuple[str, ...]) -> bool:
        """Tell whether a pit with these words belongs to the side."""
        return any(word in self.words for word in words) != self.others


def read_side(by: str, text: str) -> Side:
    """Return a side as written: `lawn`, `moist,wet` or `not mulched`."""
    others = text.startswith(OTHERS)
    words = text.removeprefix(OTHERS).split(",")
    return Side(by, tuple(sorted(set(words))), others)


def words_of(traits: Mapping[str, Any], by: str) -> tuple[str, ...]:
    """Return the words of a pit, none where nobody knows them; see `unknown`."""
    if by == "management":
        return tuple(traits[by]) if traits["management_state"] == "listed" else ()
    return (traits[by],)


def unknown(traits: Mapping[str, Any], by: str) -> str:
    """Return why a pit cannot be put on a side, or nothing."""
    if by == "management" and traits["management_state"] != "listed":
        return f"management {traits['management_state'].replace('_', ' ')}"
    if any(is_coarse(word, by) for word in words_of(traits, by)):
        return f"{by} told coarsely"
    if by == "management":
        return ""
    if not isinstance(traits[by], str):  # null, in whichever way a table says it
        return f"{by} not entered"
    return f"{by} not looked for" if traits[by] == "not_looked_for" else ""
