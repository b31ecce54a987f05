"""Every published example of an implemented test gives the published answer.

Source: fixtures/reference/bdq_examples.README.md.
"""

import json
from collections.abc import Mapping
from datetime import date

import pytest

from surveys.checks.bdq.catalogue import CATALOGUE
from surveys.checks.registry import checks_of
from surveys.checks.response import Response
from tests.reference_tables import rows

EXAMPLES = rows("bdq_examples.csv")
CHECKS = {known.test_id: known for known in checks_of("bdq")}
PINNED_ON = date(2026, 7, 29)  # the day of the commit: some tests depend on the clock


def answer(example: Mapping[str, str]) -> Response:
    terms = json.loads(example["input"])
    parameters = json.loads(example["parameters"] or "{}")
    (finding,) = CHECKS[example["test_id"]].findings(terms, parameters, PINNED_ON)
    return finding.response


def expected_result(example: Mapping[str, str]) -> object:
    printed = example["expected_result"]
    if printed in {"", "NOT_REPORTED"}:
        return None
    return json.loads(printed) if printed.startswith("{") or printed.isdigit() else printed


@pytest.mark.parametrize(
    "example", EXAMPLES, ids=[f"{row['test_label']}-{row['example_id']}" for row in EXAMPLES]
)
def test_example_gives_the_published_answer(example: dict[str, str]) -> None:
    response = answer(example)

    assert response.status == example["expected_status"]
    assert response.result == expected_result(example)


def test_examples_cover_every_test_but_the_measures_over_tests() -> None:
    covered = {example["test_id"] for example in EXAMPLES}
    over_tests = {known.test_id for known in CATALOGUE.values() if not known.acted_upon}

    assert len(EXAMPLES) == 463
    assert {known.test_id for known in CATALOGUE.values()} - covered == over_tests


def test_comments_never_repeat_a_coordinate() -> None:
    for example in EXAMPLES:
        comment = answer(example).comment
        for term, value in json.loads(example["input"]).items():
            if "titude" in term or "Coordinates" in term:
                assert len(value) <= 2 or value not in comment
