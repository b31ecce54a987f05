"""Every fault that can be told is explained, and every explained one can be told."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import surveys.intake
from surveys.intake.fault_texts import FAULT_TEXTS
from surveys.intake.reading import _CODES
from tests.surveys.intake.cases import AROUND_A_VISIT, READING, RESOLVING


def codes_in_the_source() -> Iterator[str]:
    """Yield the codes that intake writes into faults: by keyword, or second to a place."""
    for path in Path(surveys.intake.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield from codes_of(node)


def codes_of(call: ast.Call) -> Iterator[str]:
    named = [keyword.value for keyword in call.keywords if keyword.arg == "code"]
    makes_fault = ast.unparse(call.func) in {"Fault", "faults.add"}
    for value in named + (call.args[1:2] if makes_fault else []):
        if isinstance(value, ast.Constant) and isinstance(value.value, str):
            yield value.value


def test_every_code_that_can_be_told_is_explained() -> None:
    told = {*codes_in_the_source(), *_CODES.values()}

    assert {"body-not-json", "line-twice", "ref-exists", "field-missing"} < told
    assert told <= set(FAULT_TEXTS)


def test_every_explained_code_is_made_by_a_test() -> None:
    made = {case.code for case in (*READING, *RESOLVING)}

    assert made | AROUND_A_VISIT == set(FAULT_TEXTS)
    assert not made & AROUND_A_VISIT


@pytest.mark.parametrize("code", FAULT_TEXTS)
def test_text_is_a_sentence_that_says_what_to_do(code: str) -> None:
    text = FAULT_TEXTS[code]

    assert text.meaning.endswith(".")
    assert text.fix.endswith(".")
    assert text.fix != text.meaning
