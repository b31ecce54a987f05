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


def test_plain_note_holds_no_personal_data() -> None:
    (response,) = responses("ISSUE_PERSONAL_DATA_IN_TEXT", visit(), around())

    assert response.result == "NOT_ISSUE"
