"""Densities by group of pits: what is pooled, what is kept apart and what is left out."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from portal.records.models import PublishedCount

FORMULA = "density = sum of counts / sum of areas over all pits of the group [animals per m2]"
KEPT_APART = (
    "Pits dug by kits that are not marked as comparable, and pits sorted by hand only or also "
    "drenched, are never pooled: each finds other animals."
)
# What a pit may be grouped by; kit and steps are always added.
GROUPINGS = ("habitat", "season", "month", "protocol", "moisture", "texture", "cell")


@dataclass
class PitTally:
    """One pit of a group: its area and its animals over the chosen lines."""

    area_m2: float
    key: tuple[str | None, ...]
    number: int = 0
    counted: bool = False
    complete: bool = True
    effort_known: bool = True


@dataclass
class Pooled:
    """Counts and areas of the pits of one group, pit by pit."""

    counts: list[int] = field(default_factory=list)
    areas_m2: list[float] = field(default_factory=list)
    visits: set[UUID] = field(default_factory=set)


@dataclass(frozen=True)
class Summary:
    """Groups of pits by key, and how many pits were left out for which reason."""

    by: tuple[str, ...]
    groups: dict[tuple[str | None, ...], Pooled]
    left_out: dict[str, int]


def comparable_kits(protocols: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Return for each protocol version the name of the kits that it may be pooled with.

    Two kits are pooled only if both mark the other as comparable.
    """
    marks = {f"{p['key']}/{p['version']}": set(p["comparable_with"]) for p in protocols}
    return {
        name: " + ".join(sorted({name} | {o for o in others if name in marks.get(o, set())}))
        for name, others in marks.items()
    }


def summarise(
    rows: "QuerySet[PublishedCount]", by: Sequence[str], kits: Mapping[str, str]
) -> Summary:
    """Pool the chosen lines pit by pit into groups.

    A pit is left out if its effort is not known, or if one of the chosen lines was not entered
    in a step that was done; a line that was not looked for adds nothing to its pit.
    """
    names = (*by, "kit", "steps")
    pits: dict[UUID, PitTally] = {}
    visits: dict[UUID, UUID] = {}
    for row in rows.order_by("row").iterator():
        pit = pits.get(row.pit_id)
        if pit is None:
            pit = pits[row.pit_id] = PitTally(row.area_m2, _key(row, by, kits))
            pit.effort_known = row.effort_known
            visits[row.pit_id] = row.visit_id
        pit.complete &= row.state != "not_entered"
        if row.number is not None:
            pit.number += row.number
            pit.counted = True
    groups: dict[tuple[str | None, ...], Pooled] = defaultdict(Pooled)
    left_out: dict[str, int] = defaultdict(int)
    for pit_id, pit in pits.items():
        reason = _reason_out(pit)
        if reason:
            left_out[reason] += 1
            continue
        group = groups[pit.key]
        group.counts.append(pit.number)
        group.areas_m2.append(pit.area_m2)
        group.visits.add(visits[pit_id])
    return Summary(names, dict(groups), dict(left_out))


def _reason_out(pit: PitTally) -> str:
    if not pit.effort_known:
        return "effort unknown"
    if not pit.counted:
        return "not looked for"
    return "" if pit.complete else "not entered"


def _key(row: PublishedCount, by: Sequence[str], kits: Mapping[str, str]) -> tuple[str | None, ...]:
    values = [row.sampled_on[:7] if name == "month" else getattr(row, name) for name in by]
    steps = "hand_sort + expellant" if row.expellant == "done" else "hand_sort"
    return (*values, kits.get(row.protocol, row.protocol), steps)
