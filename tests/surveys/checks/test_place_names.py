"""Names of farms, fields and schools in notes; all names are invented."""

import pytest

from surveys.checks.place_names import names_a_place


@pytest.mark.parametrize(
    "text",
    [
        "Velmar Farm, north side",
        "dug at Velmar farm today",
        "Dug in Hangman's Piece, next to the drain",
        "Hangman\u2019s Piece was wet",
        "behind St Osric's School",
        "the pit at Old Tithe Barn",
        "near Ängström Cottage",
        "wet. Quillon Paddock floods",
        "in Hangfield by the drain",
    ],
)
def test_named_place_is_found(text: str) -> None:
    assert names_a_place(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "the farm was wet",
        "The field was wet",
        "Our school garden",
        "Ploughed field, dry on top",
        "a grazed field by the stream",
        "North field wetter than the south field",
        "In the lower meadow",
        "Wood ants. Field edge mown",
        "lots of Lumbricus in the orchard",
        "Farm and field both dug",
        "Windfield-like gusts",
    ],
)
def test_described_place_is_not_taken_for_a_name(text: str) -> None:
    assert not names_a_place(text)
