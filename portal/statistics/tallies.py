"""From lines of the counting form to pits: what each held over the lines that were chosen.

Rows come as mappings by the names of the public fields, so the same code serves a query and a
downloaded table.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

# Whose number is taken: after the last determination, or as the recorder wrote it.
NUMBERS = {"verified": "number", "recorded": "number_recorded"}
DRENCHED = "hand_sort + expellant"
SORTED_ONLY = "hand_sort"
DEEP_GROUP = "anecic"
DEEP_NEED_A_DRENCH = (
    "Pits without a drench say nothing about deep-burrowing animals: by hand alone they are missed "
    "too often for an absence to count."
)
KEPT_APART = (
    "Pits dug by kits that are not marked as comparable, and pits sorted by hand only or also "
    "drenched, are never pooled: each finds other animals."
)


@dataclass
class PitTally:
    """One pit and its animals over the chosen lines.

    Parameters
    ----------
    traits : mapping
        Columns of the pit and its visit, from its first line.
    kit : str
        Protocol versions that it may be pooled with.
    steps : str
        Steps by which its animals were taken.
    number : int
        Animals of the chosen lines.
    counted, complete : bool
        Whether any chosen line was counted, and whether none was left blank.
    """

    traits: Mapping[str, Any]
    kit: str
    steps: str
    number: int = 0
    counted: bool = False
    complete: bool = True

    @property
    def key(self) -> str:
        """Return the permanent id of the pit."""
        return str(self.traits["pit_id"])

    @property
    def visit(self) -> str:
        """Return the permanent id of its visit."""
        return str(self.traits["visit_id"])

    @property
    def site(self) -> str:
        """Return the permanent id of its place."""
        return str(self.traits["site_id"])

    @property
    def area_m2(self) -> float:
        """Return its area [m2]."""
        return float(self.traits["area_m2"])

    @property
    def reason_out(self) -> str:
        """Return why the pit cannot be used, or nothing.

        A line that was not looked for adds nothing to its pit; a blank one makes it unusable.
        """
        if not self.traits["effort_known"]:
            return "effort unknown"
        if not self.complete:
            return "not entered"
        return "" if self.counted else "not looked for"


@dataclass(frozen=True)
class Tallies:
    """Pits that can be used, in the order of the rows, and how many cannot for which reason."""

    pits: tuple[PitTally, ...]
    left_out: dict[str, int]


def tally_pits(
    rows: Iterable[Mapping[str, Any]], kits: Mapping[str, str], numbers: str = "verified"
) -> Tallies:
    """Sum lines pit by pit.

    Parameters
    ----------
    rows : iterable of mapping
        Lines of pits: `pit_id`, `visit_id`, `site_id`, `area_m2`, `effort_known`, `protocol`,
        `expellant`, `state`, `number` or `number_recorded`, and what the pits are told apart by.
    kits : mapping
        For each protocol the kits that it may be pooled with.
    numbers : str
        "verified" or "recorded".

    Returns
    -------
    Tallies
        Usable pits, and the others by reason.
    """
    column = NUMBERS[numbers]
    pits: dict[str, PitTally] = {}
    for row in rows:
        key = str(row["pit_id"])
        pit = pits.get(key)
        if pit is None:
            pit = pits[key] = _opened(row, kits)
        pit.complete &= row["state"] != "not_entered"
        if row["state"] == "counted":
            pit.number += int(row[column])
            pit.counted = True
    usable = tuple(pit for pit in pits.values() if not pit.reason_out)
    left_out = Counter(pit.reason_out for pit in pits.values() if pit.reason_out)
    return Tallies(usable, dict(sorted(left_out.items())))


def tallied_pit(row: Mapping[str, Any], kits: Mapping[str, str]) -> PitTally:
    """Return a pit whose lines were summed elsewhere.

    Parameters
    ----------
    row : mapping
        Its columns as for `tally_pits`, with `animals` in its counted lines or None,
        `lines_counted` and `lines_blank`.
    kits : mapping
        For each protocol the kits that it may be pooled with.
    """
    pit = _opened(row, kits)
    pit.number = row["animals"] or 0
    pit.counted, pit.complete = row["lines_counted"] > 0, row["lines_blank"] == 0
    return pit


def _opened(row: Mapping[str, Any], kits: Mapping[str, str]) -> PitTally:
    protocol = row["protocol"]
    return PitTally(
        traits=row,
        kit=kits.get(protocol, protocol),
        steps=DRENCHED if row["expellant"] == "done" else SORTED_ONLY,
    )
