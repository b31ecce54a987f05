"""What the cells of a file say about how to read it."""

from typing import Any

import pytest

from surveys.uploads.columns import common_columns, long_columns
from surveys.uploads.encodings import FoundEncoding
from surveys.uploads.evidence import (
    Evidence,
    Question,
    decide_dates,
    decide_decimal,
    decide_encoding,
)

COLUMNS = common_columns() | long_columns()


def seen(**cells: Any) -> Evidence:
    """Return what these cells say; a list stands for one below the other."""
    evidence = Evidence()
    for name, values in cells.items():
        column = COLUMNS[name.replace("__", ".")]
        for row, value in enumerate(values, start=2):
            evidence.look_at(row, [(column, value)])
    return evidence


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        ({"number": ["1", "0", "250"]}, "point"),
        ({"site__latitude": ["52.88123"]}, "point"),
        ({"site__latitude": ["52,88123"]}, "comma"),
        ({"pit__width_cm": ["20,5"], "number": ["3"]}, "comma"),
        ({"site__latitude": ["52.881"]}, "point"),  # 52881 would be no latitude
        ({"site__latitude": ["52,881"]}, "comma"),
        ({"site__latitude": [52.5], "number": [3]}, "point"),  # a sheet's own numbers
    ],
)
def test_decimal_mark_is_known_where_one_reading_is_possible(
    cells: dict[str, Any], mark: str
) -> None:
    decided = decide_decimal(seen(**cells))

    assert not isinstance(decided, Question)
    assert decided[0] == mark


@pytest.mark.parametrize(
    "cells",
    [
        {"number": ["1,234"]},
        {"number": ["1.234"]},
        {"number": ["1,234"], "site__latitude": ["52.88123"]},
        {"pit__width_cm": ["20,5", "20.5"]},
        {"site__uncertainty_m": ["5.125"]},
    ],
)
def test_decimal_mark_is_asked_for_where_two_readings_are(cells: dict[str, Any]) -> None:
    question = decide_decimal(seen(**cells))

    assert isinstance(question, Question)
    assert question.about == "decimal"
    assert [one.received for one in question.examples] == [
        text for texts in reversed(cells.values()) for text in texts
    ]


@pytest.mark.parametrize(
    ("days", "order"),
    [
        (["2025-04-12", "2025-04-13"], "iso"),
        (["03/04/2026", "25/04/2026"], "day-month-year"),
        (["03/04/2026", "04/25/2026"], "month-day-year"),
        (["25.04.2026", "2025-04-12"], "day-month-year"),
        (["04/04/2026"], "day-month-year"),  # either way the same day
        (["yesterday", "31/31/2026"], "iso"),
    ],
)
def test_order_of_dates_is_known_where_one_is_possible(days: list[str], order: str) -> None:
    decided = decide_dates(seen(visited_on=days))

    assert not isinstance(decided, Question)
    assert decided[0] == order


@pytest.mark.parametrize("days", [["03/04/2026"], ["25/04/2026", "04/25/2026"]])
def test_order_of_dates_is_asked_for_where_two_are(days: list[str]) -> None:
    question = decide_dates(seen(visited_on=days))

    assert isinstance(question, Question)
    assert question.as_dict()["allowed"] == ["day-month-year", "month-day-year"]
    assert question.as_dict()["examples"][0] == {
        "row": 2, "column": "visited_on", "received": days[0],
    }  # fmt: skip


def test_encoding_is_asked_for_with_the_first_text_that_shows_it() -> None:
    evidence = seen(note=["plain", "Gänseblümchen"])

    question = decide_encoding(FoundEncoding("windows-1252", "", is_certain=False), evidence)

    assert question is not None
    assert (question.proposed, question.examples[0].received) == ("windows-1252", "Gänseblümchen")
    assert decide_encoding(FoundEncoding("utf-8", ""), evidence) is None
