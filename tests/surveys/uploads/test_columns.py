"""Columns of tables, made from the payload's shape."""

import pytest

from surveys.intake.payload import CountIn, PhaseIn, PitIn, SiteIn, SoilIn, VisitIn
from surveys.uploads.columns import HeaderNotKnown, Kind, Layout, common_columns, read_header
from surveys.uploads.spreading import columns_for
from tests.surveys.uploads.files import protocol_named

NESTED = {"site", "pits", "phases", "soil", "counts"}


@pytest.mark.parametrize("layout", list(Layout))
def test_every_field_of_the_payload_has_a_column(layout: Layout) -> None:
    shapes = (VisitIn, SiteIn, PitIn, SoilIn, PhaseIn, CountIn)
    fields = {name for shape in shapes for name in shape.model_fields} - NESTED

    columns = columns_for(protocol_named(), layout)

    told_by_names = {"kind", "group", "stage", "taxon"} if layout == Layout.WIDE else set()
    assert fields - {column.field for column in columns} == told_by_names


@pytest.mark.parametrize("layout", list(Layout))
def test_header_of_a_template_is_read_as_its_own_columns(layout: Layout) -> None:
    columns = columns_for(protocol_named(), layout)

    assert read_header([column.name for column in columns]) == (layout, columns)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("client_ref", Kind.TEXT),
        ("visited_on", Kind.DAY),
        ("site.latitude", Kind.NUMBER),
        ("people_digging", Kind.WHOLE),
        ("pit.sorted_to_end", Kind.YES_NO),
        ("pit.management", Kind.WORDS),
        ("photos.pit", Kind.WORDS),
    ],
)
def test_kind_of_a_cell_follows_the_payload(name: str, kind: Kind) -> None:
    assert common_columns()[name].kind == kind


def faults_of(*names: str) -> dict[str, str]:
    with pytest.raises(HeaderNotKnown) as caught:
        read_header(names)
    assert all(fault.row == 1 for fault in caught.value.faults)
    return {fault.column: f"{fault.code} {fault.message}" for fault in caught.value.faults}


def test_unknown_column_is_told_with_the_nearest_name() -> None:
    faults = faults_of("client_ref", "site.latitud")

    assert faults["site.latitud"] == (
        "column-unknown There is no column of this name. Did you mean site.latitude?"
    )


def test_column_that_stands_twice_or_is_missing_is_told() -> None:
    faults = faults_of("client_ref", "client_ref", "protocol")

    assert faults["client_ref"].startswith("column-twice")
    assert {name for name, told in faults.items() if told.startswith("column-missing")} == {
        "participant", "visited_on", "site.code",
        "pit.habitat", "pit.width_cm", "pit.length_cm", "pit.depth_cm",
    }  # fmt: skip


def test_long_table_needs_pit_step_and_line_too() -> None:
    faults = faults_of("step")

    assert {"pit.number", "step.done", "group", "stage", "number"} <= set(faults)
    assert "taxon" not in faults


def test_added_column_of_errors_and_empty_columns_at_the_end_are_let_be() -> None:
    names = [column.name for column in columns_for(protocol_named(), Layout.WIDE)]

    layout, columns = read_header([*names, "errors", "", ""])

    assert (layout, columns[-1].name) == (Layout.WIDE, "errors")
