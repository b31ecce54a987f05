"""A sent visit read against its shape: where which fault is told, and what is said."""

from typing import Any

import pytest

from surveys.intake.payload import SiteIn
from surveys.intake.reading import is_odd_text, read_shape, read_visit, sent_ref
from tests.factories.private import put, visit_payload, without
from tests.surveys.intake.cases import LINE, PIT, READING, Case


def test_sound_visit_is_read_whole() -> None:
    visit, faults = read_visit(visit_payload(), "/visits/0")

    assert faults == []
    assert visit is not None
    assert (visit.client_ref, visit.site.code) == ("QVD-S01", "QVD-07-1")
    numbers = [count.number for phase in visit.pits[0].phases for count in phase.counts]
    assert numbers == [1, 3, 0, 4, 0, 0, 1, 0]


@pytest.mark.parametrize("case", READING, ids=str)
def test_fault_is_told_once_at_its_place(case: Case) -> None:
    visit, faults = read_visit(case.payload, "/visits/3")

    assert visit is None
    assert [(fault.pointer, fault.code, fault.severity) for fault in faults] == [
        (f"/visits/3{case.pointer}", case.code, "error")
    ]


def test_all_faults_are_told_in_one_answer() -> None:
    payload = without(visit_payload(), "/participant")
    changes: dict[str, Any] = {
        "/visited_on": "soon",
        f"{PIT}/width_cm": "20,0",
        f"{LINE}/number": -1,
        "/pits/1/habitat": "moon",
    }
    for pointer, value in changes.items():
        payload = put(payload, pointer, value)

    _, faults = read_visit(payload, "")

    assert {(fault.pointer, fault.code) for fault in faults} == {
        ("/participant", "field-missing"),
        ("/visited_on", "date-not-readable"),
        (f"{PIT}/width_cm", "number-decimal-comma"),
        (f"{LINE}/number", "count-out-of-range"),
        ("/pits/1/habitat", "word-unknown"),
    }
    assert len(faults) == 5


@pytest.mark.parametrize(
    ("pointer", "value", "allowed"),
    [
        (
            f"{LINE}/number",
            -1,
            "a whole number of 0 or more, 'not_looked_for', or null if not entered",
        ),
        (f"{PIT}/width_cm", 0, "> 0"),
        (f"{PIT}/width_cm", 201, "<= 200"),
        ("/site/latitude", -91, ">= -90"),
        (f"{LINE}/stage", "pupa", "'adult', 'subadult', 'juvenile' or 'egg'"),
        ("/note", "\x00", "printable characters and line breaks"),
        ("/visited_on", "soon", None),
    ],
)
def test_fault_says_what_was_received_and_what_is_allowed(
    pointer: str, value: Any, allowed: str | None
) -> None:
    _, (fault,) = read_visit(put(visit_payload(), pointer, value), "")

    assert (fault.received, fault.allowed) == (value, allowed)
    assert fault.message.endswith(".")


def test_unknown_habitat_is_answered_with_the_list() -> None:
    _, (fault,) = read_visit(put(visit_payload(), f"{PIT}/habitat", "moon"), "")

    assert fault.allowed is not None
    words = fault.allowed.split(", ")
    assert words == sorted(words)
    assert {"lawn", "old pasture", "made ground"} < set(words)


@pytest.mark.parametrize("raw", [None, 3, "visit", [], [visit_payload()], True])
def test_what_is_no_object_is_no_visit(raw: Any) -> None:
    visit, faults = read_visit(raw, "/visits/0")

    assert visit is None
    assert [(fault.pointer, fault.code) for fault in faults] == [("/visits/0", "value-not-allowed")]


@pytest.mark.parametrize(
    ("raw", "ref"),
    [
        ({"client_ref": "QVD-S01"}, "QVD-S01"),
        ({"client_ref": "A" * 90}, "A" * 80),
        ({"client_ref": ""}, ""),
        ({"client_ref": 7}, ""),
        ({"client_ref": None}, ""),
        ({"client_ref": "QVD\x00"}, ""),
        ({"client_ref": "\ud800"}, ""),
        ({}, ""),
        ([], ""),
        (None, ""),
    ],
)
def test_reference_that_cannot_be_stored_is_none(raw: Any, ref: str) -> None:
    assert sent_ref(raw) == ref


def test_fault_names_the_record_by_its_reference() -> None:
    _, faults = read_visit({"client_ref": "QVD-S01"}, "")

    assert len(faults) == 5  # protocol, participant, site, visited_on, pits
    assert {fault.record for fault in faults} == {"QVD-S01"}


@pytest.mark.parametrize(
    ("text", "odd"),
    [
        ("plain", False),
        ("line\nbreak\r\n\ttab", False),
        ("", False),
        ("\U0001f41b é \u200b", False),
        ("\x00", True),
        ("a\x1fb", True),
        ("\x0b", True),
        ("\ud800", True),
        ("half \udfff", True),
    ],
)
def test_odd_text_is_what_a_database_or_a_screen_cannot_take(*, text: str, odd: bool) -> None:
    assert is_odd_text(text) is odd


def test_any_shape_is_read_the_same_way() -> None:
    site = {"code": "QVD-07-1", "latitude": "52,9"}

    read, faults = read_shape(SiteIn, site, "/site", "QVD-S01")

    assert read is None
    assert [(fault.pointer, fault.code, fault.record) for fault in faults] == [
        ("/site/latitude", "number-decimal-comma", "QVD-S01")
    ]
