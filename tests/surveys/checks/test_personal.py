"""Patterns of personal data: what must be found, and what field notes hold that must not.

Telephone numbers come from ranges set aside for fiction (Ofcom: 07700 900000 to 900999;
North American 555-0100 to 555-0199); domains from RFC 2606; all else is invented.
"""

import time

import pytest

from surveys.checks.personal import personal_kinds
from surveys.checks.place_names import names_a_place

ROSTER = ("Tamsin Oddwell", "Rose Field", "Björn Ängström", "Li Wu")

FOUND = [
    ("write to t.oddwell+soil@example.org", "e-mail address"),
    ("write to someone (at) example (dot) org", "e-mail address"),
    ("me at example dot org", "e-mail address"),
    ("ring +44 7700 900123", "telephone number"),
    ("ring +1 (555) 010-0123 first", "telephone number"),
    ("ring 07700 900 123", "telephone number"),
    ("ring 0049 30 123456", "telephone number"),
    ("ring \uff10\uff17\uff17\uff10\uff10 900123", "telephone number"),
    ("near AB12 3CD by the brook", "postcode"),
    ("near ZZ1 1ZZ", "postcode"),
    ("in 12345 Musterdorf", "postcode"),
    ("1234 AB is close", "postcode"),
    ("at 52.88123, -0.72345 under the oak", "place in coordinates or a grid"),
    ("at N 52.8812 W 0.7234", "place in coordinates or a grid"),
    ("at 52° 52' N", "place in coordinates or a grid"),
    ("at 52°52\u2032 north", "place in coordinates or a grid"),
    ("square TF 123 456", "place in coordinates or a grid"),
    ("square TF1234556789", "place in coordinates or a grid"),
    ("30U 698765 5845678", "place in coordinates or a grid"),
    ("at ///invented.three.words", "place in coordinates or a grid"),
    ("behind 12 Mill Lane", "street and house number"),
    ("behind 7b Old Tannery Road, left", "street and house number"),
    ("Gartenstraße 12, hinten", "street and house number"),
    ("12 rue du Moulin", "street and house number"),
    ("Tamsin dug", "name of a person of the group"),
    ("TAMSIN DUG", "name of a person of the group"),
    ("tamsin\u2019s pit", "name of a person of the group"),
    ("with bjorn angstrom", "name of a person of the group"),
    ("with Rose Field", "name of a person of the group"),
    ("with Li Wu today", "name of a person of the group"),
]
CLEAN = [
    "",
    "Damp, 20 cm deep, 16 minutes, 14 worms in 2025.",
    "Dug on 2025-04-12 and 12.04.2025, 10:30 to 11:45",
    "From 01.03.2025 to 05.03.2025 it rained 0.5 mm",
    "0.5 l of mustard water, 5 minutes, 10YR 3/2 moist",
    "pH 6.5, 20 x 20 cm, 2 pits 30 m apart",
    "about 1000 worms per m2, between 900 and 1100",
    "the rose bed and the field next to it",
    "May was wet; June will be dry",
    "12 steps from the lane",
    "turn at dot three of the plan",
    "3 Worms and 12 Cocoons in a row",
]


@pytest.mark.parametrize(("text", "kind"), FOUND)
def test_personal_data_is_found(text: str, kind: str) -> None:
    assert kind in set(personal_kinds(text, ROSTER))


@pytest.mark.parametrize("text", CLEAN)
def test_field_note_is_not_suspected(text: str) -> None:
    assert list(personal_kinds(text, ROSTER)) == []


def test_part_of_a_longer_word_is_no_name() -> None:
    assert list(personal_kinds("the wuthering wind, oddwellian", ROSTER)) == []


@pytest.mark.parametrize(
    "piece",
    [
        "a",
        "0 ",
        "1.111 ",
        "1.111" + " " * 50,
        "+",
        "a@",
        "12 Aa ",
        "A1 ",
        "12 " + "Aa " * 3,
        "a at ",
    ],
)
def test_odd_text_of_full_length_is_read_at_once(piece: str) -> None:
    note = (piece * 2000)[:2000]  # the longest note that is taken

    started = time.perf_counter()
    list(personal_kinds(note, ROSTER))
    names_a_place(note)

    assert time.perf_counter() - started < 2
