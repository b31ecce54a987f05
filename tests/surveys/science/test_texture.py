"""Texture keys and triangles, against the tables of fixtures/reference."""

from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveys.protocol.vocabulary import Texture
from surveys.science.texture import (
    THREE_CLASS,
    UK_RULES,
    UK_SHARES,
    USDA_RULES,
    Fractions,
    by_feel,
    by_simple_feel,
    uk_class,
    usda_class,
)
from tests.reference_tables import rows

FULL = [row for row in rows("texture_by_feel.csv") if row["form"] == "full"]
MAP = rows("texture_class_map.csv")
POINTS = rows("usda_triangle_points.csv")


def whole_percent_points() -> list[Fractions]:
    return [
        Fractions(100 - silt - clay, silt, clay)
        for clay in range(101)
        for silt in range(101 - clay)
    ]


@pytest.mark.parametrize("row", FULL, ids=lambda row: row["usda_class"])
def test_full_key_matches_thien_from_its_lower_limit_to_below_its_upper(
    row: dict[str, str],
) -> None:
    shortest = Decimal(row["ribbon_from_cm"] or 0)
    below = Decimal(row["ribbon_below_cm"] or 20)
    ends = [shortest or Decimal("0.1"), below - Decimal("0.1")] if below else [Decimal(0)]

    for ribbon_cm in ends if row["forms_ribbon"] == "yes" else [Decimal(0)]:
        result = by_feel(
            stays_in_ball=row["stays_in_ball"] == "yes",
            ribbon_cm=ribbon_cm,
            feel=row["feel_when_very_wet"],
        )

        assert (result.usda_class, result.three_class) == (row["usda_class"], row["three_class"])


def test_full_key_reaches_the_classes_that_the_map_says() -> None:
    reachable = {row["usda_class"] for row in MAP if row["reachable_by_feel_key"] == "yes"}

    assert {row["usda_class"] for row in FULL} == reachable == set(USDA_RULES) - {"silt"}


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        ({"stays_in_ball": False}, "sand"),
        ({"stays_in_ball": False, "sausage_shines": True}, "sand"),
        ({"stays_in_ball": True}, "loam"),
        ({"stays_in_ball": True, "sausage_shines": True}, "clay"),
    ],
)
def test_simple_key_matches_its_three_rows(answers: dict[str, bool], expected: str) -> None:
    result = by_simple_feel(**answers)

    assert (result.three_class, result.usda_class) == (expected, "")


@pytest.mark.parametrize("row", POINTS, ids=lambda row: f"{row['sand']}-{row['silt']}")
def test_triangle_point_has_its_published_class(row: dict[str, str]) -> None:
    point = Fractions(*(Decimal(row[key]) for key in ("sand", "silt", "clay")))

    assert usda_class(point) == row["usda_class"]
    assert uk_class(point) == row["uk_class_same_numbers"]


def test_there_are_68_points() -> None:
    assert len(POINTS) == 68


def test_every_whole_percent_point_has_exactly_one_usda_class() -> None:
    points = whole_percent_points()

    unclear = [p for p in points if sum(rule(p) for rule in USDA_RULES.values()) != 1]

    assert len(points) == 5151
    assert unclear == []


@given(data=st.data())
def test_any_point_at_a_tenth_of_a_percent_has_exactly_one_usda_class(data: Any) -> None:
    clay = data.draw(st.integers(0, 1000), "clay tenths")
    silt = data.draw(st.integers(0, 1000 - clay), "silt tenths")
    tenths = (1000 - clay - silt, silt, clay)
    point = Fractions(*(Decimal(part) / 10 for part in tenths))

    assert sum(rule(point) for rule in USDA_RULES.values()) == 1


@pytest.mark.parametrize("row", MAP, ids=lambda row: row["usda_class"])
def test_map_gives_the_three_class_and_the_uk_shares(row: dict[str, str]) -> None:
    shares = [f"{uk} {share}%" for uk, share in UK_SHARES[row["usda_class"]].items()]

    assert THREE_CLASS[row["usda_class"]] == row["three_class"]
    assert "; ".join(shares) == row["uk_class_shares_of_triangle"]


def test_uk_shares_follow_from_both_sets_of_rules() -> None:
    tally = Counter((usda_class(point), uk_class(point)) for point in whole_percent_points())
    totals = Counter(dict.fromkeys(USDA_RULES, 0))
    for (usda, _), number in tally.items():
        totals[usda] += number

    shares = {pair: 100 * number / totals[pair[0]] for pair, number in tally.items()}

    for usda, row in UK_SHARES.items():
        for uk, share in row.items():
            assert shares[usda, uk] == pytest.approx(share, abs=0.5)
    assert {uk for row in UK_SHARES.values() for uk in row} <= set(UK_RULES)


@pytest.mark.parametrize("shares", [(50, 30, 10), (50, 60, -10), (0, 0, 0)])
def test_shares_that_are_no_point_are_refused(shares: tuple[int, int, int]) -> None:
    with pytest.raises(ValueError, match="add up to 100"):
        Fractions(*shares)


def test_binary_floats_are_refused() -> None:
    shares: Any = (52.1, 27.9, 20)

    with pytest.raises(TypeError, match="not as floats"):
        Fractions(*shares)


def test_negative_ribbon_is_refused() -> None:
    with pytest.raises(ValueError, match="0 cm or longer"):
        by_feel(stays_in_ball=True, ribbon_cm=-1)


def test_ribbon_without_feel_is_refused() -> None:
    with pytest.raises(ValueError, match="gritty, smooth or neither"):
        by_feel(stays_in_ball=True, ribbon_cm=3)


def test_three_classes_are_those_of_the_vocabulary() -> None:
    assert set(THREE_CLASS.values()) == set(Texture.values)
