"""The columns of a table, made from the shape of the payload; a file's header tied to them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache
from typing import Any

from pydantic import BaseModel

from surveys.intake.payload import CountIn, PhaseIn, PitIn, SiteIn, SoilIn, VisitIn
from surveys.photos.models import PhotoKind
from surveys.protocol.definition import Category, PhaseRule
from surveys.protocol.vocabulary import EcologicalGroup, LifeStage, PhaseKind
from surveys.uploads.faults import RowFault

ERRORS_COLUMN = "errors"  # we add it to a sheet sent back; it is not read
PIT_NUMBER = "pit.number"
STEP = "step"


class Level(StrEnum):
    """What of a visit a column belongs to; the value is the stem of its name."""

    VISIT = ""
    SITE = "site"
    PIT = "pit"
    SOIL = "soil"
    STEP = "step"
    COUNT = "count"
    PHOTO = "photos"
    REMARK = "errors"


class Kind(StrEnum):
    """What a cell holds."""

    TEXT = "text"
    NUMBER = "number"
    WHOLE = "whole number"
    YES_NO = "yes or no"
    DAY = "day"
    WORDS = "words, separated by |"


class Layout(StrEnum):
    """How counts stand in a table: beside each other, or one below the other."""

    WIDE = "wide"
    LONG = "long"


@dataclass(frozen=True)
class Column:
    """One column: its name, what it fills, and what its cells may hold."""

    name: str
    level: Level
    field: str
    kind: Kind = Kind.TEXT
    allowed: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()  # a single word that may stand for a list of words
    maximum: float | None = None
    meaning: str = ""
    is_required: bool = False
    step: str = ""  # of a wide table
    line: tuple[str, str, str] | None = None  # group, stage, taxon of a wide table


def step_column(step: str, field: str) -> Column:
    """Return a wide table's column of a step."""
    known = {column.field: column for column in _of(PhaseIn, Level.STEP, step)}[field]
    return Column(**{**vars(known), "step": step, "is_required": False})


def line_column(step: str, line: Category) -> Column:
    """Return a wide table's column of the counts of one line in one step."""
    return _line_column(step, line.key)


def _line_column(step: str, line: tuple[str, str, str]) -> Column:
    number = _columns_of_counts()["number"]
    name = ".".join((step, *(part for part in line if part)))
    return Column(**{**vars(number), "name": name, "step": step, "line": line})


@cache
def common_columns() -> dict[str, Column]:
    """Return the columns that both layouts have, by name, in the order of a template."""
    number = Column(
        PIT_NUMBER, Level.PIT, "number", Kind.WHOLE, meaning="1, 2 ... in the order of the rows."
    )
    photos = [
        Column(
            f"{Level.PHOTO}.{kind.value}",
            Level.PHOTO,
            kind.value,
            Kind.WORDS,
            meaning=f"Files in the zip that show {kind.label}.",
        )
        for kind in PhotoKind
    ]
    listed = [
        *_of(VisitIn, Level.VISIT),
        *_of(SiteIn, Level.SITE),
        number,
        *_of(PitIn, Level.PIT),
        *_of(SoilIn, Level.SOIL),
        *photos,
    ]
    return {column.name: column for column in listed}


@cache
def long_columns() -> dict[str, Column]:
    """Return the columns that only a long table has."""
    step = Column(STEP, Level.STEP, "kind", allowed=tuple(PhaseKind.values), is_required=True)
    details = [column for column in _of(PhaseIn, Level.STEP) if column.field != "kind"]
    counts = _columns_of_counts().values()
    return {column.name: column for column in (step, *details, *counts)}


def wide_columns(steps: Sequence[PhaseRule], lines: Sequence[Category]) -> list[Column]:
    """Return the columns that only a wide table has, for steps that are carried out."""
    made: list[Column] = []
    for rule in steps:
        made += [step_column(rule.kind.value, name) for name in fields_of_step(rule)]
        made += [line_column(rule.kind.value, line) for line in lines]
    return made


def fields_of_step(rule: PhaseRule) -> list[str]:
    """Return what is noted of a step: pouring only where something is poured."""
    return ["done", "agent", "volume_ml", "wait_min"] if rule.agent else ["done"]


def read_header(names: Sequence[str]) -> tuple[Layout, list[Column]]:
    """Return the layout and the column of each cell of a header.

    Raises
    ------
    HeaderNotKnown
        If a column is unknown, stands twice or is missing; its faults name each.
    """
    names = [name.strip() for name in names]
    while names and not names[-1]:
        names.pop()
    layout = Layout.LONG if STEP in names or "number" in names else Layout.WIDE
    found = [_column(name, layout) for name in names]
    faults = [
        *_unknown(names, found, layout),
        *_twice(names),
        *_missing(names, layout),
    ]
    if faults:
        raise HeaderNotKnown(faults)
    return layout, [column for column in found if column is not None]


class HeaderNotKnown(Exception):  # noqa: N818 -- reads as what happened
    """The header of a table has faults."""

    def __init__(self, faults: list[RowFault]) -> None:
        super().__init__(faults[0].message)
        self.faults = faults


def known_share(names: Sequence[str]) -> int:
    """Return how many of these names are columns, to find out how a header is separated."""
    return sum(any(_column(name.strip(), layout) for layout in Layout) for name in names)


def _column(name: str, layout: Layout) -> Column | None:
    if name == ERRORS_COLUMN:
        return Column(name, Level.REMARK, name)
    if name in common_columns():
        return common_columns()[name]
    if layout == Layout.LONG:
        return long_columns().get(name)
    return _wide_column(name)


def _wide_column(name: str) -> Column | None:
    step, _, rest = name.partition(".")
    if step not in PhaseKind.values:
        return None
    if rest in {"done", "agent", "volume_ml", "wait_min"}:
        return step_column(step, rest)
    group, _, rest = rest.partition(".")
    stage, _, taxon = rest.partition(".")
    if group in EcologicalGroup.values and stage in LifeStage.values:
        return _line_column(step, (group, stage, taxon))
    return None


def _unknown(names: list[str], found: list[Column | None], layout: Layout) -> Iterator[RowFault]:
    known = [*common_columns(), *(long_columns() if layout == Layout.LONG else ())]
    for name, column in zip(names, found, strict=True):
        if column is None:
            near = get_close_matches(name, known, n=1)
            yield RowFault(
                row=1,
                column=name,
                code="column-unknown",
                message="There is no column of this name."
                + (f" Did you mean {near[0]}?" if near else ""),
                received=name,
                allowed=", ".join(near) or "the columns of a template",
            )


def _twice(names: list[str]) -> Iterator[RowFault]:
    for name in sorted({name for name in names if name and names.count(name) > 1}):
        yield RowFault(
            row=1,
            column=name,
            code="column-twice",
            message="This column stands twice.",
            received=name,
        )


def _missing(names: list[str], layout: Layout) -> Iterator[RowFault]:
    needed = [column for column in common_columns().values() if column.is_required]
    if layout == Layout.LONG:
        needed += [column for column in long_columns().values() if column.is_required]
        needed.append(common_columns()[PIT_NUMBER])
    for column in needed:
        if column.name not in names:
            yield RowFault(
                row=1,
                column=column.name,
                code="column-missing",
                message="This column is needed.",
                allowed=column.name,
            )


@cache
def _columns_of_counts() -> dict[str, Column]:
    return {
        column.field: Column(**{**vars(column), "name": column.field, "is_required": True})
        if column.field != "taxon"
        else Column(**{**vars(column), "name": column.field})
        for column in _of(CountIn, Level.COUNT)
    }


def _of(shape: type[BaseModel], level: Level, stem: str | None = None) -> list[Column]:
    """Return a column for each plain field of a part of the payload."""
    schema = shape.model_json_schema()
    stem = level.value if stem is None else stem
    return [
        _from_schema(f"{stem}.{name}".lstrip("."), level, name, schema)
        for name, part in schema["properties"].items()
        if not _is_nested(part, schema)
    ]


def _from_schema(name: str, level: Level, field: str, schema: dict[str, Any]) -> Column:
    part = schema["properties"][field]
    members = list(_members(part, schema))
    maxima = [one["maximum"] for one in members if "maximum" in one]
    kind = _kind(members)
    single = tuple(one["const"] for one in members if "const" in one)
    return Column(
        name,
        level,
        field,
        kind,
        allowed=tuple(_words(members)),
        instead=single if kind == Kind.WORDS else (),
        maximum=max(maxima, default=None),
        meaning=part.get("description", ""),
        is_required=field in schema.get("required", ()),
    )


def _is_nested(part: dict[str, Any], schema: dict[str, Any]) -> bool:
    members = list(_members(part, schema))
    return any(one.get("type") == "object" or "$ref" in one.get("items", {}) for one in members)


def _members(part: dict[str, Any], schema: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for one in part.get("anyOf", [part]):
        if "$ref" in one:
            yield schema["$defs"][one["$ref"].rpartition("/")[2]]
        else:
            yield one


def _kind(members: list[dict[str, Any]]) -> Kind:
    types = {one.get("type") for one in members}
    if any(one.get("format") == "date" for one in members):
        return Kind.DAY
    by_type = {
        "array": Kind.WORDS,
        "integer": Kind.WHOLE,
        "number": Kind.NUMBER,
        "boolean": Kind.YES_NO,
    }
    return next((kind for name, kind in by_type.items() if name in types), Kind.TEXT)


def _words(members: list[dict[str, Any]]) -> Iterator[str]:
    for one in members:
        yield from one.get("enum", ())
        yield from one.get("items", {}).get("enum", ())
        if "const" in one:
            yield one["const"]
