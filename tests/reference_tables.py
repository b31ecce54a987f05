"""Check values from outside the project, kept in ``fixtures/reference``."""

import csv
import json
from pathlib import Path
from typing import Any

REFERENCE = Path(__file__).parents[1] / "fixtures" / "reference"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of a CSV table."""
    with (REFERENCE / name).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def document(name: str) -> Any:
    """Return a JSON document."""
    return json.loads((REFERENCE / name).read_text(encoding="utf-8"))


def statistics_check(title: str) -> Any:
    """Return one check of ``statistics_checks.json`` by the start of its id."""
    checks = document("statistics_checks.json")["checks"]
    (check,) = [check for check in checks if check["id"].startswith(title)]
    return check
