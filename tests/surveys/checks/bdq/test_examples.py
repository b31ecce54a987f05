"""Every published example of an implemented test gives the published answer.

Source: fixtures/reference/bdq_examples.README.md.
"""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from surveys.checks.bdq.catalogue import CATALOGUE
from surveys.checks.bdq.examples import answer, expected_result
from surveys.management.commands import qualityexamples
from tests.reference_tables import rows

EXAMPLES = rows("bdq_examples.csv")


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


def test_table_counts_every_example_and_names_what_was_skipped() -> None:
    out = io.StringIO()

    call_command("qualityexamples", stdout=out)

    lines = out.getvalue().splitlines()
    assert lines[-1].split() == ["71", "tests", "run,", "17", "skipped", "463", "0", "215"]
    skipped = [line.split() for line in lines if line.endswith(("taxonomy", "boundaries"))]
    assert ["VALIDATION_GENUS_FOUND", "0", "0", "13", "taxonomy"] in skipped


def test_table_fails_with_an_example_that_is_answered_otherwise(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(
        qualityexamples,
        "agrees",
        lambda example: example["example_id"] != EXAMPLES[0]["example_id"],
    )

    with pytest.raises(CommandError, match="1 example"):
        call_command("qualityexamples", stdout=io.StringIO())
