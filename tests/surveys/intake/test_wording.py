"""Every fault and finding has German words beside the English ones, with the same arguments."""

import ast
import string
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.utils import translation

import surveys.checks
from surveys.checks.german import COMMENTS
from surveys.intake import german
from surveys.intake.fault_texts import FAULT_TEXTS
from surveys.intake.wording import in_german, translated

FINDING = {
    "code": "validation-counts-sumconsistent",
    "message": "Pit 1: the total says 9, but the lines add up to 7.",
    "received": "9",
    "hint": "",
    "reason": "total-differs",
    "arguments": {"pit": "1", "received": "9", "expected": "7"},
}
MISSING = {"code": "field-missing", "message": "Field required.", "hint": "Add this field."}


def answers() -> Iterator[tuple[str, set[str]]]:
    """Yield each code that a check may answer with, and the names of its arguments."""
    for path in Path(surveys.checks.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            if ast.unparse(node.func) in {"not_compliant", "potential_issue"}:
                names = {keyword.arg for keyword in node.keywords if keyword.arg}
                yield from ((code, names) for code in codes_in(node.args[0]))


def codes_in(node: ast.expr) -> list[str]:
    """Return the words of a code: one, or one of two by a condition."""
    choices = [node.body, node.orelse] if isinstance(node, ast.IfExp) else [node]
    return [str(one.value) for one in choices if isinstance(one, ast.Constant)]


def names_in(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name}


ANSWERS = dict(answers())


def test_every_answer_of_a_check_has_a_german_comment() -> None:
    assert len(ANSWERS) > 30
    assert set(ANSWERS) - set(COMMENTS) == set()


@pytest.mark.parametrize("code", sorted(ANSWERS))
def test_german_comment_needs_no_other_argument(code: str) -> None:
    assert names_in(COMMENTS[code]) <= ANSWERS[code]


@pytest.mark.parametrize("code", sorted(COMMENTS))
def test_comment_is_a_sentence(code: str) -> None:
    assert COMMENTS[code].endswith(".")
    assert "  " not in COMMENTS[code]


def test_every_fault_has_a_german_meaning_and_remedy() -> None:
    assert set(german.FAULT_TEXTS) == set(FAULT_TEXTS)


@pytest.mark.parametrize("code", FAULT_TEXTS)
def test_german_text_is_another_one(code: str) -> None:
    text = german.FAULT_TEXTS[code]

    assert text.meaning.endswith(".")
    assert text.fix.endswith(".")
    assert (text.meaning, text.fix) != (FAULT_TEXTS[code].meaning, FAULT_TEXTS[code].fix)


def test_finding_is_told_with_its_own_numbers() -> None:
    told = in_german(FINDING)

    assert told["message"].startswith("Grube 1: Als Summe steht 9 da, die Zeilen ergeben aber 7.")
    assert {**told, "message": ""} == {**FINDING, "message": ""}


@pytest.mark.parametrize(("language", "hint"), [("en", "Add this field."), ("de", "Ergänzen Sie")])
def test_fault_is_told_in_the_language_of_the_request(language: str, hint: str) -> None:
    with translation.override(language):
        (told,) = translated([MISSING])

    assert told["hint"].startswith(hint)
    assert told["code"] == "field-missing"


def test_code_without_german_words_stays_english() -> None:
    odd = {"code": "never-heard-of", "message": "Odd."}

    assert in_german(odd) == odd
