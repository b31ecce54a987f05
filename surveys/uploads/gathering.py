"""Gather the rows of a table into visits as the payload has them; nothing is judged here.

Each value remembers its cell, so that a fault of the payload can be told as a fault of the table.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from surveys.intake.reading import is_odd_text, sent_ref
from surveys.intake.strict_json import NotReadable, read_json
from surveys.uploads.cells import Cell, Reading, text_of, value_of
from surveys.uploads.columns import PIT_NUMBER, Column, Layout, Level
from surveys.uploads.faults import RowFault

MAX_ROWS = 2_400  # of a visit: ten pits of four steps of sixty lines
Rows = Iterable[tuple[int, list[Cell]]]
Read = list[tuple[Column, Cell, Any]]  # column, cell, value


@dataclass(frozen=True)
class Place:
    """Where in the table a value stands, and what stands there."""

    row: int
    column: str
    received: str | None = None


@dataclass(frozen=True)
class PhotoNamed:
    """A photo that a row names."""

    place: Place
    pit: int
    kind: str
    file_name: str


@dataclass
class Gathered:
    """One visit of a file: as JSON, where its values stand, and what the table itself got wrong."""

    first_row: int
    last_row: int
    ref: str = ""
    raw: Any = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    stems: dict[str, Place] = field(default_factory=dict)  # of parts, by pointer
    faults: list[RowFault] = field(default_factory=list)
    photos: list[PhotoNamed] = field(default_factory=list)

    def place_of(self, pointer: str) -> Place:
        """Return where a pointer into the visit stands in the table."""
        if not self.stems:  # a line of NDJSON is the visit itself
            return Place(self.first_row, pointer)
        below: list[str] = []
        while pointer not in self.places and pointer not in self.stems:
            pointer, _, last = pointer.rpartition("/")
            below.insert(0, last)
        if pointer in self.places:
            return self.places[pointer]
        stem = self.stems[pointer]
        return Place(stem.row, ".".join(part for part in (stem.column, *below) if part))


def visits_of_table(
    rows: Rows, layout: Layout, columns: list[Column], reading: Reading
) -> Iterator[Gathered]:
    """Yield the visits of a table; rows of one visit stand together."""
    gatherer: _Gatherer | None = None
    at_ref = next(i for i, column in enumerate(columns) if column.name == "client_ref")
    for row, cells in rows:
        ref = text_of(cells[at_ref] if at_ref < len(cells) else "").strip()
        ref = "" if is_odd_text(ref) else ref
        if gatherer is None or ref != gatherer.visit.ref or not ref:
            if gatherer is not None:
                yield gatherer.visit
            gatherer = _Gatherer(row, ref, layout)
        gatherer.add(row, columns, cells, reading)
    if gatherer is not None:
        yield gatherer.visit


def visits_of_lines(lines: Iterable[tuple[int, str]]) -> Iterator[Gathered]:
    """Yield the visits of NDJSON, one a line."""
    for row, line in lines:
        visit = Gathered(row, row)
        try:
            visit.raw = read_json(line.encode("utf-8", "surrogatepass"))
        except NotReadable as error:
            visit.faults.append(RowFault(row, "", "body-not-json", str(error)))
        visit.ref = sent_ref(visit.raw)
        yield visit


class _Gatherer:
    """One visit while its rows come in."""

    def __init__(self, row: int, ref: str, layout: Layout) -> None:
        self.visit = Gathered(row, row, ref, {"site": {}, "pits": []})
        self.visit.stems[""] = Place(row, "")
        self.visit.stems["/site"] = Place(row, Level.SITE)
        self.layout = layout
        self.row = row
        self.rows = 0
        self.values: dict[tuple[str, str], Any] = {}  # rows of a visit repeat most of their cells

    def add(self, row: int, columns: list[Column], cells: list[Cell], reading: Reading) -> None:
        """Take a row in."""
        self.row = self.visit.last_row = row
        self.rows += 1
        if self.rows > MAX_ROWS:
            self._refuse_more()
            return
        self._refuse_extra(columns, cells)
        padded = [*cells, *[None] * (len(columns) - len(cells))]
        by_level: dict[Level, Read] = {level: [] for level in Level}
        for column, cell in zip(columns, padded, strict=False):
            by_level[column.level].append((column, cell, self._value(cell, column, reading)))
        self._fill("", self.visit.raw, by_level[Level.VISIT])
        self._fill("/site", self.visit.raw["site"], by_level[Level.SITE])
        where, pit = self._pit(by_level[Level.PIT])
        self._fill(where, pit, [one for one in by_level[Level.PIT] if one[0].name != PIT_NUMBER])
        self._soil(where, pit, by_level[Level.SOIL])
        self._photos(by_level[Level.PHOTO])
        if self.layout == Layout.WIDE:
            self._wide(where, pit, [*by_level[Level.STEP], *by_level[Level.COUNT]])
        else:
            self._long(where, pit, by_level[Level.STEP], by_level[Level.COUNT])

    def _value(self, cell: Cell, column: Column, reading: Reading) -> Any:
        if not isinstance(cell, str):
            return value_of(cell, column, reading)
        known = (column.name, cell)
        if known not in self.values:
            self.values[known] = value_of(cell, column, reading)
        return self.values[known]

    def _refuse_more(self) -> None:
        if self.rows == MAX_ROWS + 1:
            place = Place(self.row, "client_ref", self.visit.ref)
            message = "So many rows have the same reference that they cannot be one visit."
            self._fault(place, "visit-too-long", message, f"at most {MAX_ROWS} rows")

    def _refuse_extra(self, columns: list[Column], cells: list[Cell]) -> None:
        extra = [text_of(cell) for cell in cells[len(columns) :] if text_of(cell).strip()]
        if extra:
            self._fault(
                Place(self.row, "", extra[0]),
                "cells-beyond-header",
                "The row has more cells than the header has columns.",
                f"{len(columns)} cells",
            )

    def _pit(self, cells: Read) -> tuple[str, dict[str, Any]]:
        """Return the pit that a row belongs to, a new one if it is the next."""
        pits = self.visit.raw["pits"]
        sent = next(
            ((cell, value) for column, cell, value in cells if column.name == PIT_NUMBER), None
        )
        following = len(pits) + 1
        number = following if sent is None or sent[1] is None else sent[1]
        is_known = self.layout == Layout.LONG and pits and number == len(pits)
        if not is_known:
            if number != following:
                self._fault(
                    Place(self.row, PIT_NUMBER, text_of(sent[0] if sent else None)),
                    "pit-out-of-order",
                    "Pits are numbered in the order of their rows.",
                    f"{following}" if self.layout == Layout.WIDE else f"{len(pits)} or {following}",
                )
            pits.append({"phases": []})
            where = f"/pits/{len(pits) - 1}"
            self.visit.stems[where] = Place(self.row, Level.PIT)
            self.visit.stems[f"{where}/soil"] = Place(self.row, Level.SOIL)
        return f"/pits/{len(pits) - 1}", pits[-1]

    def _soil(self, where: str, pit: dict[str, Any], cells: Read) -> None:
        if any(value is not None for _, _, value in cells):
            self._fill(f"{where}/soil", pit.setdefault("soil", {}), cells)

    def _photos(self, cells: Read) -> None:
        number = len(self.visit.raw["pits"])
        for column, _, names in cells:
            for name in names or ():
                place = Place(self.row, column.name, name)
                photo = PhotoNamed(place, number, column.field, name)
                same = (photo.pit, photo.kind, photo.file_name)
                if same not in {(p.pit, p.kind, p.file_name) for p in self.visit.photos}:
                    self.visit.photos.append(photo)

    def _wide(self, where: str, pit: dict[str, Any], cells: Read) -> None:
        for step in dict.fromkeys(column.step for column, _, _ in cells):
            own = [one for one in cells if one[0].step == step]
            if all(value is None for _, _, value in own):
                continue
            at, phase = self._new_phase(where, pit, step, step)
            self._fill(at, phase, [one for one in own if one[0].line is None])
            for column, cell, value in own:
                if column.line is not None and value is not None:
                    group, stage, taxon = column.line
                    line = {"group": group, "stage": stage, "taxon": taxon, "number": value}
                    self._count(at, phase, line, Place(self.row, column.name, text_of(cell)))

    def _long(
        self,
        where: str,
        pit: dict[str, Any],
        step_cells: Read,
        count_cells: Read,
    ) -> None:
        kind = next((value for column, _, value in step_cells if column.field == "kind"), None)
        phases = pit["phases"]
        if not phases or phases[-1]["kind"] != (kind or ""):
            at, phase = self._new_phase(where, pit, kind or "", "step")
            cell = next(cell for column, cell, _ in step_cells if column.field == "kind")
            self.visit.places[f"{at}/kind"] = Place(self.row, "step", text_of(cell))
        else:
            at, phase = f"{where}/phases/{len(phases) - 1}", phases[-1]
        self._fill(at, phase, [one for one in step_cells if one[0].field != "kind"])
        line = {column.field: value for column, _, value in count_cells if value is not None}
        if line:
            stem = Place(self.row, "number", text_of(line.get("number")))
            line.setdefault("number", None)
            here = self._count(at, phase, line, stem)
            self.visit.places[here] = Place(self.row, "group")
            for column, cell, _ in count_cells:
                place = Place(self.row, column.name, text_of(cell))
                self.visit.places[f"{here}/{column.field}"] = place

    def _new_phase(
        self, where: str, pit: dict[str, Any], kind: str, stem: str
    ) -> tuple[str, dict[str, Any]]:
        phase: dict[str, Any] = {"kind": kind, "done": None, "counts": []}
        pit["phases"].append(phase)
        at = f"{where}/phases/{len(pit['phases']) - 1}"
        self.visit.stems[at] = Place(self.row, stem)
        self.visit.stems.setdefault(f"{where}/phases", Place(self.row, stem))
        return at, phase

    def _count(self, at: str, phase: dict[str, Any], line: dict[str, Any], place: Place) -> str:
        phase["counts"].append(line)
        here = f"{at}/counts/{len(phase['counts']) - 1}"
        self.visit.places[here] = place
        self.visit.places[f"{here}/number"] = place
        return here

    def _fill(self, where: str, into: dict[str, Any], cells: Read) -> None:
        """Put values in; one that stands in an earlier row may be left out, but not changed."""
        for column, cell, value in cells:
            pointer = f"{where}/{column.field}"
            place = Place(self.row, column.name, text_of(cell))
            held = into.get(column.field)
            if held is None:
                if value is not None or pointer not in self.visit.places:
                    self.visit.places[pointer] = place
                if value is not None:
                    into[column.field] = value
            elif value is not None and value != held:
                first = self.visit.places[pointer]
                self._fault(
                    place,
                    "rows-disagree",
                    f"Row {first.row} of the same visit says otherwise.",
                    first.received,
                )

    def _fault(self, place: Place, code: str, message: str, allowed: str | None) -> None:
        self.visit.faults.append(
            RowFault(
                place.row,
                place.column,
                code,
                message,
                received=place.received,
                allowed=allowed,
                record=self.visit.ref[:80],
            )
        )
