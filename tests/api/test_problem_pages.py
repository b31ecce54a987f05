"""Every problem and every fault has a page that explains it."""

import pytest
from django.test import Client

from api.errors import PROBLEMS
from surveys.checks.registry import programme_checks
from surveys.intake.fault_texts import FAULT_TEXTS

CHECK_CODES = [known.label.lower().replace("_", "-") for known in programme_checks()]
EVERY_CODE = sorted({*PROBLEMS, *FAULT_TEXTS, *CHECK_CODES})


@pytest.mark.parametrize("code", EVERY_CODE)
def test_page_explains_the_code(code: str) -> None:
    answer = Client().get(f"/problems/{code}")

    page = answer.content.decode()
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
    assert f"<code>{code}</code>" in page
    assert "<h2>What it means</h2>\n    <p></p>" not in page
    assert "<h2>How to mend it</h2>\n    <p></p>" not in page


@pytest.mark.parametrize("code", sorted(PROBLEMS))
def test_page_of_a_problem_shows_its_document(code: str) -> None:
    page = Client().get(f"/problems/{code}").content.decode()

    assert f"/problems/{code}&quot;" in page
    assert f"status {PROBLEMS[code][0]}" in page


@pytest.mark.parametrize("code", ["nothing", "NOT-FOUND", "<script>", "..", "not_found", "a%00b"])
def test_unknown_code_is_not_found(code: str) -> None:
    answer = Client().get(f"/problems/{code}")

    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_checks_are_among_the_codes() -> None:
    assert len(CHECK_CODES) > 10
    assert not set(CHECK_CODES) & set(PROBLEMS)
