"""Names of farms, fields and schools in notes; all names are invented."""

import pytest

from surveys.checks.place_names import named_places


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
    assert list(named_places(text))


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
    assert list(named_places(text)) == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "Dug in Hangman\u2019s Piece, next to Velmar Farm",
            ["Hangman\u2019s Piece", "Velmar Farm"],
        ),
        ("Wet in Hang\u200bfield today", ["Hang\u200bfield"]),
    ],
)
def test_span_covers_the_name_as_it_was_sent(text: str, told: list[str]) -> None:
    assert [text[start:end] for start, end in named_places(text)] == told
