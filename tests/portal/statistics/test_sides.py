"""The two sides of a comparison in queries and in words."""

from typing import Any

import pytest

from portal.statistics.sides import read_side, unknown, words_of


@pytest.mark.parametrize(
    ("by", "text", "name"),
    [
        ("habitat", "flower bed", "flower bed"),
        ("habitat", "not lawn", "other ground than lawn"),
        ("management", "direct drilled", "direct drilled ground"),
        ("management", "not mulched", "ground not mulched"),
        ("moisture", "moist,slightly moist", "moist or slightly moist soil"),
        ("season", "spring", "spring"),
    ],
)
def test_a_side_is_named_in_words_and_written_as_asked(by: str, text: str, name: str) -> None:
    side = read_side(by, text)

    assert side.name == name
    assert side.asked == text


def test_a_side_takes_pits_with_any_of_its_words() -> None:
    side = read_side("management", "mown,grazed")

    assert side.takes(("grazed", "limed"))
    assert not side.takes(("limed",))
    assert not side.takes(())


def test_the_other_side_takes_pits_with_none_of_the_words() -> None:
    side = read_side("management", "not mulched")

    assert side.takes(())  # asked and known: none of the list applies
    assert side.takes(("mown",))
    assert not side.takes(("mown", "mulched"))


@pytest.mark.parametrize(
    ("traits", "by", "reason"),
    [
        ({"management_state": "not_known", "management": None}, "management", "not known"),
        ({"management_state": "not_entered", "management": None}, "management", "not entered"),
        ({"moisture": None}, "moisture", "not entered"),
        ({"moisture": float("nan")}, "moisture", "not entered"),  # null in a pandas table
        ({"moisture": "not_looked_for"}, "moisture", "not looked for"),
        ({"habitat": "cultivated ground"}, "habitat", "told coarsely"),  # a flower bed, or not
        (
            {"management_state": "listed", "management": ["mown", "something added"]},
            "management",
            "told coarsely",
        ),
    ],
)
def test_a_pit_of_which_nobody_knows_is_on_no_side(
    traits: dict[str, Any], by: str, reason: str
) -> None:
    assert unknown(traits, by) == f"{by} {reason}"


def test_a_pit_that_is_known_has_its_words() -> None:
    traits = {"management_state": "listed", "management": ["mown"], "moisture": "dry"}

    assert unknown(traits, "management") == ""
    assert words_of(traits, "management") == ("mown",)
    assert words_of(traits, "moisture") == ("dry",)
