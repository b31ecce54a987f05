"""Spread a visit of the payload over the rows of a table: the way back of gathering."""

from collections.abc import Iterator, Sequence
from typing import Any

from surveys.protocol.definition import Protocol
from surveys.uploads.cells import LISTED_BY, NO_WORDS, Cell, text_of
from surveys.uploads.columns import (
    PIT_NUMBER,
    Column,
    Layout,
    Level,
    common_columns,
    long_columns,
    wide_columns,
)


def columns_for(protocol: Protocol, layout: Layout) -> list[Column]:
    """Return the columns of a template, in order."""
    common = list(common_columns().values())
    if layout == Layout.LONG:
        return [*common, *long_columns().values()]
    steps = [rule for rule in protocol.phases if rule.performed]
    return [*common, *wide_columns(steps, protocol.categories)]


def rows_of(
    visit: dict[str, Any], columns: Sequence[Column], layout: Layout
) -> Iterator[list[Cell]]:
    """Yield the rows of one visit."""
    for number, pit in enumerate(visit["pits"], start=1):
        phases = {phase["kind"]: phase for phase in pit["phases"]}
        if layout == Layout.WIDE:
            yield [_wide_cell(column, visit, pit, number, phases) for column in columns]
        else:
            for phase in pit["phases"]:
                for line in phase["counts"] or [{}]:
                    parts = {Level.STEP: phase, Level.COUNT: line}
                    yield [_cell(column, visit, pit, number, parts) for column in columns]


def _wide_cell(
    column: Column,
    visit: dict[str, Any],
    pit: dict[str, Any],
    number: int,
    phases: dict[str, Any],
) -> Cell:
    phase = phases.get(column.step, {})
    lines = phase.get("counts", ())
    line: dict[str, Any] = next((one for one in lines if _line(one) == column.line), {})
    return _cell(column, visit, pit, number, {Level.STEP: phase, Level.COUNT: line})


def _line(count: dict[str, Any]) -> tuple[str, str, str]:
    return (count["group"], count["stage"], count.get("taxon", ""))


def _cell(
    column: Column,
    visit: dict[str, Any],
    pit: dict[str, Any],
    number: int,
    parts: dict[Level, dict[str, Any]],
) -> Cell:
    if column.name == PIT_NUMBER:
        return number
    parts = {
        Level.VISIT: visit,
        Level.SITE: visit["site"],
        Level.PIT: pit,
        Level.SOIL: pit.get("soil", {}),
    } | parts
    return _plain(parts.get(column.level, {}).get(column.field))


def _plain(value: Any) -> Cell:
    if isinstance(value, list):
        return LISTED_BY.join(value) or NO_WORDS
    if isinstance(value, bool):
        return text_of(value)
    plain: Cell = value
    return plain
