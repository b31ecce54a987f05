"""Small bodies are answered in the same words as records, though the rooms do not meet."""

from typing import Any

import pytest
from django.test import Client

from api.body_faults import _CODES, HINTS
from api.german import BODY_FAULTS
from surveys.intake.fault_texts import FAULT_TEXTS
from surveys.intake.german import FAULT_TEXTS as GERMAN
from surveys.intake.reading import _CODES as CODES_OF_RECORDS

SENT = {"name": "Reader", "contact": "data@reader.example"}


def faults_of(body: Any, language: str = "en") -> list[dict[str, str]]:
    """Send a body to the registration of harvesters and return its faults."""
    answer = Client().post(
        "/api/v1/harvesters",
        body,
        content_type="application/json",
        headers={"Accept-Language": language},
    )
    assert answer.status_code == 422
    assert answer.headers["Content-Language"] == language
    found: list[dict[str, str]] = answer.json()["errors"]
    return found


def test_codes_are_those_of_records() -> None:
    assert {kind: CODES_OF_RECORDS[kind] for kind in _CODES} == _CODES
    assert {*_CODES.values(), "value-not-allowed"} == set(HINTS)


@pytest.mark.parametrize("code", HINTS)
def test_words_are_those_of_records_in_both_languages(code: str) -> None:
    assert HINTS[code] == FAULT_TEXTS[code].fix
    assert BODY_FAULTS[code] == (GERMAN[code].meaning, GERMAN[code].fix)


def test_german_has_no_word_more_or_less() -> None:
    assert set(BODY_FAULTS) == set(HINTS)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({"name": "Reader"}, "/contact", "field-missing"),
        (SENT | {"name": ""}, "/name", "text-too-short"),
        (SENT | {"name": "x" * 121}, "/name", "text-too-long"),
        (SENT | {"name": 5}, "/name", "text-expected"),
        (SENT | {"homepage": "javascript:alert(1)"}, "/homepage", "value-not-allowed"),
        (SENT | {"a/b~c": 1}, "/a~1b~0c", "field-unknown"),  # RFC 6901, section 3
        ([], "", "value-not-allowed"),
    ],
)
def test_fault_says_where_what_and_how_to_mend_it(body: Any, pointer: str, code: str) -> None:
    (fault,) = faults_of(body)

    assert (fault["pointer"], fault["code"]) == (pointer, code)
    assert fault["hint"] == FAULT_TEXTS[code].fix
    assert fault["docs"] == f"http://localhost:8000/problems/{code}"
    assert fault["message"].endswith(".")
    assert "x" * 121 not in str(fault)


@pytest.mark.django_db
def test_fault_is_told_in_german() -> None:
    (fault,) = faults_of({"name": "Reader"}, "de")

    assert fault["message"] == "Ein Feld fehlt, das jeder Datensatz braucht."
    assert (fault["code"], fault["hint"]) == ("field-missing", "Ergänzen Sie es.")
