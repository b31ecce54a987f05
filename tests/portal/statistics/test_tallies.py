"""From lines to pits: what is summed, and which pits cannot be used."""

from typing import Any

import pytest

from portal.statistics.tallies import DRENCHED, SORTED_ONLY, tally_pits

KITS = {"contrast-pit/1": "contrast-pit/1 + contrast-pit/2"}


def line(pit: str = "p1", number: int | None = 3, **columns: Any) -> dict[str, Any]:
    return {
        "pit_id": pit,
        "visit_id": f"visit of {pit}",
        "site_id": "s1",
        "area_m2": 0.04,
        "effort_known": True,
        "protocol": "contrast-pit/1",
        "expellant": "done",
        "state": "counted" if number is not None else "not_looked_for",
        "number": number,
        "number_recorded": number,
    } | columns


def test_lines_of_a_pit_are_summed_over_steps_and_groups() -> None:
    tallies = tally_pits([line(number=3), line("p2", 1), line(number=4), line(number=0)], KITS)

    assert [(pit.key, pit.number) for pit in tallies.pits] == [("p1", 7), ("p2", 1)]
    assert tallies.left_out == {}


def test_a_line_that_was_not_looked_for_adds_nothing() -> None:
    tallies = tally_pits([line(number=3), line(number=None)], KITS)

    assert [pit.number for pit in tallies.pits] == [3]


@pytest.mark.parametrize(
    ("lines", "reason"),
    [
        ([line(number=None)], "not looked for"),
        ([line(), line(number=None, state="not_entered")], "not entered"),
        ([line(number=None, state="not_entered")], "not entered"),
        ([line(effort_known=False)], "effort unknown"),
    ],
)
def test_a_pit_that_cannot_be_used_is_counted_by_reason(
    lines: list[dict[str, Any]], reason: str
) -> None:
    tallies = tally_pits([*lines, line("p2")], KITS)

    assert [pit.key for pit in tallies.pits] == ["p2"]
    assert tallies.left_out == {reason: 1}


def test_the_recorder_s_number_stands_beside_the_verified_one() -> None:
    rows = [line(number=2, number_recorded=5)]

    assert tally_pits(rows, KITS).pits[0].number == 2
    assert tally_pits(rows, KITS, "recorded").pits[0].number == 5


def test_kit_and_steps_are_told_apart() -> None:
    rows = [line(), line("p2", expellant="not_done"), line("p3", protocol="school-pit/1")]

    ways = [(pit.kit, pit.steps) for pit in tally_pits(rows, KITS).pits]

    assert ways == [
        ("contrast-pit/1 + contrast-pit/2", DRENCHED),
        ("contrast-pit/1 + contrast-pit/2", SORTED_ONLY),
        ("school-pit/1", DRENCHED),
    ]
