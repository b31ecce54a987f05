"""Densities by group of pits: what is pooled, what is kept apart and what is left out."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Count, Q, QuerySet, Sum

from portal.records.models import PublishedCount
from portal.statistics.tallies import NUMBERS, PitTally, Tallies, tallied_pit, tally_pits

FORMULA = "density = sum of counts / sum of areas over all pits of the group [animals per m2]"
# What a pit may be grouped by; kit and steps are always added.
GROUPINGS = ("habitat", "season", "month", "protocol", "moisture", "texture", "cell")
# What is read of a pit beside what it is told apart by.
_OF_PIT = ("area_m2", "effort_known", "protocol", "expellant")
# What is read of a line: its pit, its count, and what pits are told apart by.
_COLUMNS = (
    *("pit_id", "visit_id", "site_id", "area_m2", "effort_known", "protocol", "expellant"),
    *("state", "number", "number_recorded", "sampled_on", "season", "cell"),
    *("latitude", "longitude"),
    *("habitat", "management", "management_state", "moisture", "texture"),
)


class Pooled:
    """How many pits of one group have each count and area [m2], and how many visits they are of."""

    def __init__(self) -> None:
        self.pits: Counter[tuple[int, float]] = Counter()
        self.visits = 0
        self._last: UUID | None = None

    def add(self, pit: PitTally) -> None:
        """Take a pit; pits of a visit come after each other."""
        self.pits[pit.number, pit.area_m2] += 1
        visit = pit.traits["visit_id"]
        self.visits += visit != self._last
        self._last = visit


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
    in a step that was done; a line that was not looked for adds nothing to its pit. The database
    sums the lines of each pit, so that neither lines nor pits are ever held here.
    """
    groups: dict[tuple[str | None, ...], Pooled] = defaultdict(Pooled)
    left_out: Counter[str] = Counter()
    for row in _pits(rows, by, numbers).iterator():
        pit = tallied_pit(row, kits)
        if reason := pit.reason_out:
            left_out[reason] += 1
        else:
            groups[_key(pit, by)].add(pit)
    return Summary((*by, "kit", "steps"), dict(groups), dict(sorted(left_out.items())))


def _pits(rows: "QuerySet[PublishedCount]", by: Sequence[str], numbers: str) -> QuerySet[Any, Any]:
    """Return one row for each pit, in the order of visits: its columns and its chosen lines."""
    told_apart = {"sampled_on" if name == "month" else name for name in by}
    of_pit = ("visit_id", "pit_id", *sorted({*_OF_PIT, *told_apart}))
    counted = Q(state="counted")
    pits: QuerySet[Any, Any] = (
        rows.order_by("visit_id", "pit_id")
        .values(*of_pit)
        .annotate(
            lines_counted=Count("row", filter=counted),
            lines_blank=Count("row", filter=Q(state="not_entered")),
            animals=Sum(NUMBERS[numbers], filter=counted),
        )
    )
    return pits


def _key(pit: PitTally, by: Sequence[str]) -> tuple[str | None, ...]:
    traits = pit.traits
    values = [traits["sampled_on"][:7] if name == "month" else traits[name] for name in by]
    return (*values, pit.kit, pit.steps)
