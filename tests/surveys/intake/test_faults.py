"""A fault as it is answered: cut short, printable, with a hint."""

import json
from typing import Any

import pytest

from surveys.intake.fault_texts import FAULT_TEXTS
from surveys.intake.faults import Fault, cut, escape


@pytest.mark.parametrize(
    ("part", "step"),
    [
        # RFC 6901, section 5: pointers of its example document, without the first slash
        ("foo", "foo"),
        (0, "0"),
        ("", ""),
        ("a/b", "a~1b"),
        ("c%d", "c%d"),
        ("m~n", "m~0n"),
        # section 4: ~01 must come back as ~1, not as a slash
        ("~1", "~01"),
    ],
)
def test_step_of_a_pointer_is_escaped(part: object, step: str) -> None:
    assert escape(part) == step


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (None, None),
        (True, True),
        (0, 0),
        (-2.5, -2.5),
        ("", ""),
        ("a" * 80, "a" * 80),
        ("a" * 81, "a" * 79 + "…"),
        ("a\x00b\nc\ud800", "a�b�c�"),
        ({"name": "Tamsin Oddwell"}, "(dict)"),
        (["Tamsin Oddwell"], "(list)"),
    ],
)
def test_what_was_received_is_shown_short_and_printable(value: Any, shown: Any) -> None:
    assert cut(value) == shown
    assert len(json.dumps(cut(value), ensure_ascii=False).encode()) < 250


def test_fault_is_answered_with_the_hint_of_its_code() -> None:
    fault = Fault("/visits/0/note", "text-too-long", "error", "Too long.", "x" * 99, "<= 80", "V-1")

    assert fault.as_dict() == {
        "pointer": "/visits/0/note",
        "code": "text-too-long",
        "severity": "error",
        "message": "Too long.",
        "received": "x" * 79 + "…",
        "allowed": "<= 80",
        "record": "V-1",
        "hint": FAULT_TEXTS["text-too-long"].fix,
    }


def test_finding_of_a_check_carries_its_advice_in_its_message() -> None:
    fault = Fault("", "validation-counts-likely", "query", "Please look at the paper form.")

    assert fault.as_dict()["hint"] == ""
