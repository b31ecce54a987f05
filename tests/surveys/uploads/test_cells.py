"""Cells as JSON values."""

from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveys.uploads.cells import (
    Reading,
    number_of,
    safe_for_spreadsheets,
    shown_plain,
    text_of,
    value_of,
)
from surveys.uploads.columns import common_columns, long_columns

COLUMNS = common_columns() | long_columns()
COMMA = Reading(decimal="comma", dates="day-month-year")
POINT = Reading(dates="month-day-year")


@pytest.mark.parametrize(
    ("column", "cell", "reading", "value"),
    [
        ("number", "3", POINT, 3),
        ("number", " 0 ", POINT, 0),
        ("number", "", POINT, None),
        ("number", "not_looked_for", POINT, "not_looked_for"),
        ("number", "1,234", POINT, 1234),
        ("number", "1,234", COMMA, 1.234),
        ("number", "1.234", COMMA, 1234),
        ("number", "12,34", POINT, "12,34"),
        ("number", "three", POINT, "three"),
        ("number", "٣", POINT, "٣"),
        ("number", "1e3", POINT, "1e3"),
        ("number", 3.0, POINT, 3),
        ("number", 2.5, POINT, 2.5),
        ("number", True, POINT, "yes"),
        ("site.latitude", "52,88123", COMMA, 52.88123),
        ("site.longitude", "-0.72345", POINT, -0.72345),
        ("site.latitude", "9" * 30, POINT, "9" * 30),
        ("visited_on", "2025-04-12", POINT, "2025-04-12"),
        ("visited_on", "03/04/2026", POINT, "2026-03-04"),
        ("visited_on", "03/04/2026", COMMA, "2026-04-03"),
        ("visited_on", "3.4.2026", COMMA, "2026-04-03"),
        ("visited_on", "03/04/2026", Reading(), "03/04/2026"),
        ("visited_on", "03/04-2026", COMMA, "03/04-2026"),
        ("visited_on", datetime(2026, 4, 3), POINT, "2026-04-03"),  # noqa: DTZ001 -- as sheets have it
        ("visited_on", date(2026, 4, 3), POINT, "2026-04-03"),
        ("pit.sorted_to_end", "Yes", POINT, True),
        ("pit.sorted_to_end", "FALSE", POINT, False),
        ("pit.sorted_to_end", True, POINT, True),
        ("pit.sorted_to_end", "maybe", POINT, "maybe"),
        ("pit.management", "mown|mulched", POINT, ["mown", "mulched"]),
        ("pit.management", "none", POINT, []),
        ("pit.management", "not_known", POINT, "not_known"),
        ("participant", 7, POINT, "7"),
        ("note", "'=cmd()", POINT, "=cmd()"),
        ("note", "'tis wet", POINT, "'tis wet"),
    ],
)
def test_cell_is_read_by_its_column(column: str, cell: Any, reading: Reading, value: Any) -> None:
    read = value_of(cell, COLUMNS[column], reading)

    assert (read, type(read)) == (value, type(value))


# CSV injection as the OWASP page of that name lists its first characters (from memory).
@pytest.mark.parametrize("text", ["=1+1", "+1+cmd", "-1+cmd", "@SUM(A1)", "\t=1", "\r=1"])
def test_text_that_a_spreadsheet_would_run_is_marked_as_text(text: str) -> None:
    assert safe_for_spreadsheets(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-0.72345", "+5", "-1,5", "3", "lawn", ""])
def test_numbers_and_plain_texts_stay_as_they_are(text: str) -> None:
    assert safe_for_spreadsheets(text) == text


@given(st.text())
def test_marked_text_reads_as_before(text: str) -> None:
    if not text.startswith("'"):
        assert shown_plain(safe_for_spreadsheets(text)) == text


@given(st.decimals(-10_000, 10_000, places=5), st.sampled_from(["point", "comma"]))
def test_number_is_read_back_in_either_mark(number: Any, decimal: str) -> None:
    plain = f"{number:.5f}"
    written = plain if decimal == "point" else plain.replace(".", ",")

    assert number_of(written, decimal) == pytest.approx(float(number), abs=1e-9)


def test_whole_numbers_of_sheets_are_shown_without_a_point() -> None:
    assert [text_of(cell) for cell in (7.0, 7.5, None, False)] == ["7", "7.5", "", "no"]
