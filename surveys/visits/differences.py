"""What differs between two states of a visit, field by field; plain, without a database."""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

from surveys.visits.facts import CountFacts, PitFacts, SoilFacts, VisitFacts

_IN_PARTS = frozenset({"pits", "phases", "counts", "soil", "number", "kind"})


@dataclass(frozen=True)
class Difference:
    """One field that differs, such as ``pits/1/hand_sort/endogeic adult``."""

    field: str
    before: Any
    after: Any


def differences(before: VisitFacts, after: VisitFacts) -> list[Difference]:
    """Return every field that differs; None where a pit, step or line is not there."""
    old, new = dict(_flat(before)), dict(_flat(after))
    return [
        Difference(name, old.get(name), new.get(name))
        for name in {**old, **new}
        if old.get(name) != new.get(name)
    ]


def _flat(visit: VisitFacts) -> Iterator[tuple[str, Any]]:
    yield from _own_fields(visit, "")
    for pit in visit.pits:
        yield from _flat_pit(pit, f"pits/{pit.number}/")


def _flat_pit(pit: PitFacts, prefix: str) -> Iterator[tuple[str, Any]]:
    yield from _own_fields(pit, prefix)
    for phase in pit.phases:
        yield from _own_fields(phase, f"{prefix}{phase.kind}/")
        for count in phase.counts:
            line = " ".join(filter(None, (count.group, count.stage, count.taxon)))
            yield f"{prefix}{phase.kind}/{line}", _number(count)
    for soil in pit.soil:
        yield f"{prefix}soil/{soil.name}", _observed(soil)


def _own_fields(facts: Any, prefix: str) -> Iterator[tuple[str, Any]]:
    for field in fields(facts):
        if field.name not in _IN_PARTS:
            yield prefix + field.name, getattr(facts, field.name)


def _number(count: CountFacts) -> int | str:
    return count.state if count.number is None else count.number


def _observed(soil: SoilFacts) -> str:
    return " by ".join(filter(None, (soil.value, soil.method))) or soil.state
