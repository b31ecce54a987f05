"""Checks of free texts."""

from dataclasses import replace

import pytest

from tests.surveys.checks.visits import around, drench, hand_sort, pit, responses, visit


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("line one\nline two\tend\r\n", ""),
        ("naïve 🪱 \u05e8\u05d8\u05d5\u05d1 \u200f\u0645", ""),
        ("zero\x00byte", "U+0000"),
        ("bell\x07 and \x9f", "U+0007, U+009F"),
        ("half \ud83d", "U+D83D"),
    ],
    ids=["lines", "scripts", "zero", "controls", "half"],
)
def test_only_characters_that_cannot_be_stored_are_found(text: str, told: str) -> None:
    (response,) = responses("VALIDATION_TEXT_STORABLE", visit(note=text), around())

    assert response.arguments.get("received", "") == told
    assert response.is_fault is bool(told)


def test_every_text_of_a_visit_is_looked_at() -> None:
    odd = pit(
        phases=(hand_sort(1, 1, 1, 1), drench(0, 0, 0, 0, agent="mustard\x00")),
        soil=(replace(pit().soil[0], value="moist\x00"),),
    )
    sent = visit(note="a\x00", client_ref="b\x00", pits=(odd,))

    found = responses("VALIDATION_TEXT_STORABLE", sent, around())

    assert [response.pointer for response in found] == [
        "/client_ref",
        "/note",
        "/pits/0/phases",
        "/pits/0/soil/moisture",
    ]


@pytest.mark.parametrize(
    ("text", "is_issue"),
    [
        ("=1+1", True),
        ("  =SUM(A1)", True),
        ('=HYPERLINK("x")', True),
        ("+SUM(A1)", True),
        ("-2+3", True),
        ("@SUM(A1)", True),
        ("- two pits, both damp", False),
        ("+ one cocoon", False),
        ("@ the gate", False),
        ("2 = two", False),
        ("", False),
    ],
)
def test_formula_is_told_from_a_note_that_starts_with_a_sign(*, text: str, is_issue: bool) -> None:
    (response,) = responses("ISSUE_TEXT_FORMULA", visit(note=text), around())

    assert response.is_fault is is_issue


def test_each_kind_of_personal_data_is_named_once() -> None:
    note = "Tamsin (tamsin@example.org, 07700 900 123) was there; Tamsin again."

    found = responses("ISSUE_PERSONAL_DATA_IN_TEXT", visit(note=note), around())

    assert [response.arguments["kind"] for response in found] == [
        "e-mail address",
        "telephone number",
        "name of a person of the group",
    ]


def test_places_of_personal_data_are_told_but_never_the_data() -> None:
    note = "Tamsin was there; Tamsin again."

    (found,) = responses("ISSUE_PERSONAL_DATA_IN_TEXT", visit(note=note), around())

    assert found.pointer == "/note"
    assert found.arguments["spans"] == "0-6 18-24"
    assert "Tamsin" not in found.comment + str(found.arguments)


def test_every_text_that_may_go_out_is_looked_at_for_personal_data() -> None:
    mail = "me@example.org"
    drenched = drench(0, 0, 0, 0, agent=mail)
    named = hand_sort(1, 1, 1, 1)
    named = replace(named, counts=(replace(named.counts[0], taxon=mail), *named.counts[1:]))
    odd = pit(phases=(named, drenched), soil=(replace(pit().soil[0], value=mail),))
    sent = visit(note=mail, client_ref=mail, pits=(odd,))

    found = responses("ISSUE_PERSONAL_DATA_IN_TEXT", sent, around())

    assert [response.pointer for response in found] == [
        "/note",
        "/pits/0/phases",
        "/pits/0/phases",
        "/pits/0/soil/moisture",
    ]


def test_code_of_the_group_is_found() -> None:
    known = around(known_codes=("QVD-07", "Thornbury"))

    (found,) = responses(
        "ISSUE_PERSONAL_DATA_IN_TEXT", visit(note="QVD 07 of Thornbury dug."), known
    )

    assert found.arguments["spans"] == "0-6 10-19"


@pytest.mark.parametrize("text", ["Dug at Velmar Farm.", "Wet in Hangfield."])
def test_named_place_is_told_by_its_span(text: str) -> None:
    (found,) = responses("ISSUE_PLACE_NAME_IN_TEXT", visit(note=text), around())

    assert found.arguments["spans"] == f"7-{len(text) - 1}"


def test_plain_note_holds_no_personal_data() -> None:
    (response,) = responses("ISSUE_PERSONAL_DATA_IN_TEXT", visit(), around())

    assert response.result == "NOT_ISSUE"
