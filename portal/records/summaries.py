"""Densities by group of pits: what is pooled, what is kept apart and what is left out."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from portal.records.models import PublishedCount
from portal.statistics.tallies import PitTally, Tallies, tally_pits

FORMULA = "density = sum of counts / sum of areas over all pits of the group [animals per m2]"
# What a pit may be grouped by; kit and steps are always added.
GROUPINGS = ("habitat", "season", "month", "protocol", "moisture", "texture", "cell")
# What is read of a line: its pit, its count, and what pits are told apart by.
_COLUMNS = (
    *("pit_id", "visit_id", "site_id", "area_m2", "effort_known", "protocol", "expellant"),
    *("state", "number", "number_recorded", "sampled_on", "season", "cell"),
    *("latitude", "longitude"),
    *("habitat", "management", "management_state", "moisture", "texture"),
)


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


def tallied(
    rows: "QuerySet[PublishedCount]", kits: Mapping[str, str], numbers: str = "verified"
) -> Tallies:
    """Sum published lines pit by pit, in the order in which they were published."""
    lines: Iterator[dict[str, Any]] = rows.order_by("row").values(*_COLUMNS).iterator()
    return tally_pits(lines, kits, numbers)


def summarise(
    rows: "QuerySet[PublishedCount]",
    by: Sequence[str],
    kits: Mapping[str, str],
    numbers: str = "verified",
) -> Summary:
    """Pool the chosen lines pit by pit into groups.

    A pit is left out if its effort is not known, or if one of the chosen lines was not entered
    in a step that was done; a line that was not looked for adds nothing to its pit.
    """
    tallies = tallied(rows, kits, numbers)
    groups: dict[tuple[str | None, ...], Pooled] = defaultdict(Pooled)
    for pit in tallies.pits:
        group = groups[_key(pit, by)]
        group.counts.append(pit.number)
        group.areas_m2.append(pit.area_m2)
        group.visits.add(pit.traits["visit_id"])
    return Summary((*by, "kit", "steps"), dict(groups), tallies.left_out)


def _key(pit: PitTally, by: Sequence[str]) -> tuple[str | None, ...]:
    traits = pit.traits
    values = [traits["sampled_on"][:7] if name == "month" else traits[name] for name in by]
    return (*values, pit.kit, pit.steps)
