"""Which tests of the standard apply here, with their ids, versions, stages and terms."""

import csv
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import cast

from surveys.checks.bdq.values import Parameters, Terms
from surveys.checks.registry import Stage, check
from surveys.checks.response import Response

TABLES = Path(__file__).parent / "tables"

Test = Callable[[Terms, Parameters, date], Response]


@dataclass(frozen=True)
class Entry:
    """One test of the standard; ``stage`` is ours."""

    label: str
    test_id: str
    version: str
    stage: Stage
    acted_upon: tuple[str, ...]
    consulted: tuple[str, ...]


def _read() -> dict[str, Entry]:
    with (TABLES / "tests.csv").open(encoding="utf-8", newline="") as lines:
        return {
            row["label"]: Entry(
                row["label"],
                row["test_id"],
                row["version"],
                cast("Stage", row["stage"]),
                tuple(row["acted_upon"].split()),
                tuple(row["consulted"].split()),
            )
            for row in csv.DictReader(lines)
        }


CATALOGUE = _read()


def bdq_test(label: str) -> Callable[[Test], Test]:
    """Register the function below as the test of that label."""
    entry = CATALOGUE[label]
    return check(
        label=label,
        version=entry.version,
        stage=entry.stage,
        source="bdq",
        test_id=entry.test_id,
    )
