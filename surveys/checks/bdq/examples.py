"""The published examples of the tests, and whether ours answer as published.

Source and licence: fixtures/reference/bdq_examples.README.md.
"""

import csv
import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from surveys.checks.registry import checks_of
from surveys.checks.response import Response

PINNED_ON = date(2026, 7, 29)  # the day of the commit: some tests depend on the clock
NO_RESULT = {"", "NOT_REPORTED"}

Example = Mapping[str, str]


def read_table(folder: Path, name: str) -> list[dict[str, str]]:
    """Return the rows of a reference table."""
    with (folder / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def answer(example: Example) -> Response:
    """Return what the test of an example says of its input."""
    terms = json.loads(example["input"])
    parameters = json.loads(example["parameters"] or "{}")
    known = next(one for one in checks_of("bdq") if one.test_id == example["test_id"])
    (finding,) = known.findings(terms, parameters, PINNED_ON)
    return finding.response


def expected_result(example: Example) -> object:
    """Return the published result: a word, a number, proposed values or nothing."""
    printed = example["expected_result"]
    if printed in NO_RESULT:
        return None
    return json.loads(printed) if printed.startswith("{") or printed.isdigit() else printed


def agrees(example: Example) -> bool:
    """Tell whether status and result are the published ones; comments are never compared."""
    response = answer(example)
    return response.status == example["expected_status"] and response.result == expected_result(
        example
    )
