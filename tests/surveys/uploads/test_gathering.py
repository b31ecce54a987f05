"""Rows gathered into visits, and the way back."""

import json
from typing import Any

import pytest

from surveys.uploads import gathering
from surveys.uploads.cells import Cell, Reading
from surveys.uploads.columns import Layout, read_header
from surveys.uploads.gathering import Gathered, visits_of_lines, visits_of_table
from tests.factories.private import Payload, put, without
from tests.surveys.uploads.files import table_of, visit_number

VISIT = visit_number(1)
MAX_ROWS = 100
PLAIN = without(VISIT, "/site/uncertainty_m")


def gathered(
    visits: list[Payload], layout: Layout, changes: dict[tuple[int, str], str] | None = None
) -> list[Gathered]:
    """Return the visits of a table with some cells changed, by row and column."""
    header, rows = table_of(visits, layout)
    for (row, name), text in (changes or {}).items():
        rows[row - 2][header.index(name)] = text
    typed: list[tuple[int, list[Cell]]] = [(n, [*row]) for n, row in enumerate(rows, start=2)]
    return list(visits_of_table(typed, *read_header(header), Reading()))


def plain(value: Any) -> Any:
    """Return a payload with what a table leaves out filled in."""
    lines = [count for pit in value["pits"] for phase in pit["phases"] for count in phase["counts"]]
    for line in lines:
        line.setdefault("taxon", "")
        line["taxon"] = line["taxon"] or ""
    return value


@pytest.mark.parametrize("layout", list(Layout))
def test_visit_spread_over_rows_is_gathered_again(layout: Layout) -> None:
    visits = [visit_number(1), visit_number(2)]

    found = gathered(visits, layout)

    assert [plain(visit.raw) for visit in found] == [plain(visit) for visit in visits]
    assert [visit.faults for visit in found] == [[], []]
    assert [visit.first_row for visit in found] == [2, 4 if layout == Layout.WIDE else 18]


@pytest.mark.parametrize(
    ("layout", "pointer", "place"),
    [
        (Layout.WIDE, "/client_ref", (2, "client_ref", "QVD-U00001")),
        (Layout.WIDE, "/site/latitude", (2, "site.latitude", "52.62223")),
        (Layout.WIDE, "/pits/1/habitat", (3, "pit.habitat", "flower bed")),
        (Layout.WIDE, "/pits/1/management/0", (3, "pit.management", "mulched")),
        (Layout.WIDE, "/pits/0/soil/texture", (2, "soil.texture", "loam")),
        (Layout.WIDE, "/pits/0/phases/1/volume_ml", (2, "expellant.volume_ml", "500")),
        (
            Layout.WIDE,
            "/pits/1/phases/0/counts/1/number",
            (3, "hand_sort.endogeic.adult", "3"),
        ),
        (Layout.WIDE, "/pits/1/phases/0/kind", (3, "hand_sort.kind", None)),
        (Layout.WIDE, "/pits/1", (3, "pit", None)),
        (Layout.WIDE, "", (2, "", None)),
        (Layout.LONG, "/pits/0/phases/0/counts/3/number", (5, "number", "4")),
        (Layout.LONG, "/pits/0/phases/1/counts/0/stage", (6, "stage", "adult")),
        (Layout.LONG, "/pits/0/phases/1/kind", (6, "step", "expellant")),
        (Layout.LONG, "/pits/1/width_cm", (10, "pit.width_cm", "20")),
    ],
)
def test_pointer_into_the_visit_leads_to_its_cell(
    layout: Layout, pointer: str, place: tuple[int, str, str | None]
) -> None:
    (visit,) = gathered([VISIT], layout)

    found = visit.place_of(pointer)

    assert (found.row, found.column, found.received) == place


def test_empty_count_is_left_out_and_zero_is_not() -> None:
    (visit,) = gathered([VISIT], Layout.WIDE, {(2, "hand_sort.epigeic.adult"): ""})

    numbers = [count["number"] for count in visit.raw["pits"][0]["phases"][0]["counts"]]
    assert numbers == [3, 0, 4]


def test_value_of_the_visit_may_be_left_out_in_its_later_rows() -> None:
    (visit,) = gathered([VISIT], Layout.WIDE, {(3, "visited_on"): "", (3, "site.code"): ""})

    assert (plain(visit.raw), visit.faults) == (plain(visit_number(1)), [])


def test_rows_of_one_visit_that_disagree_are_told() -> None:
    (visit,) = gathered([VISIT], Layout.WIDE, {(3, "people_digging"): "4"})

    (fault,) = visit.faults
    assert (fault.row, fault.column, fault.code) == (3, "people_digging", "rows-disagree")
    assert (fault.received, fault.allowed) == ("4", "2")


def test_pits_out_of_order_are_told() -> None:
    (visit,) = gathered([VISIT], Layout.WIDE, {(3, "pit.number"): "1"})

    assert [(fault.row, fault.code, fault.allowed) for fault in visit.faults] == [
        (3, "pit-out-of-order", "2")
    ]


def test_photos_are_named_by_pit_and_kind() -> None:
    (visit,) = gathered(
        [VISIT], Layout.WIDE, {(2, "photos.pit"): "a.jpg | b.jpg", (3, "photos.soil"): "c.jpg"}
    )

    assert [(photo.pit, photo.kind, photo.file_name) for photo in visit.photos] == [
        (1, "pit", "a.jpg"), (1, "pit", "b.jpg"), (2, "soil", "c.jpg"),
    ]  # fmt: skip


def test_rows_without_a_reference_are_visits_of_their_own() -> None:
    found = gathered([VISIT], Layout.WIDE, {(2, "client_ref"): "", (3, "client_ref"): ""})

    assert [(visit.first_row, visit.ref) for visit in found] == [(2, ""), (3, "")]


def test_endless_rows_of_one_reference_do_not_fill_memory(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(gathering, "MAX_ROWS", MAX_ROWS)
    header, rows = table_of([VISIT], Layout.LONG)
    many: list[tuple[int, list[Cell]]] = [(n, [*rows[0]]) for n in range(2, MAX_ROWS + 50)]

    (visit,) = visits_of_table(many, *read_header(header), Reading())

    assert visit.last_row == MAX_ROWS + 49
    assert len(visit.raw["pits"][0]["phases"][0]["counts"]) == MAX_ROWS
    assert [fault.code for fault in visit.faults] == ["visit-too-long"]


def test_lines_of_json_are_visits_as_they_are() -> None:
    lines = [(1, json.dumps(PLAIN)), (2, "{broken"), (3, '{"client_ref": "\\ud800"}')]

    found = list(visits_of_lines(lines))

    assert found[0].raw == PLAIN
    assert found[0].place_of("/pits/0/habitat").column == "/pits/0/habitat"
    assert [fault.code for fault in found[1].faults] == ["body-not-json"]
    assert [visit.ref for visit in found] == ["QVD-U00001", "", ""]


def test_row_with_more_cells_than_the_header_is_told() -> None:
    header, rows = table_of([VISIT], Layout.WIDE)

    (visit,) = visits_of_table([(2, [*rows[0], "", "astray"])], *read_header(header), Reading())

    assert [(f.code, f.received) for f in visit.faults] == [("cells-beyond-header", "astray")]


def test_changed_payload_is_a_changed_table() -> None:
    changed = put(VISIT, "/pits/0/phases/0/counts/0/number", "not_looked_for")

    (visit,) = gathered([changed], Layout.LONG)

    assert visit.raw["pits"][0]["phases"][0]["counts"][0]["number"] == "not_looked_for"
