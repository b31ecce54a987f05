"""geopandas, with a newer GDAL inside, as a client of the features: it reads the schema as well."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.interop.clients import LONGEST_S, features_of

pytestmark = pytest.mark.usefixtures("released")
COLLECTIONS = ("visits", "pits", "occurrences")
READER = Path(__file__).parent / "read_with_geopandas.py"


def read(served: str, collection: str, where: str = "") -> Any:
    """Return the columns, their types and the rows that geopandas finds."""
    command = [sys.executable, str(READER), f"OAPIF:{served}", collection, where]
    ended = subprocess.run(  # noqa: S603 -- a list, no shell
        command, capture_output=True, text=True, timeout=LONGEST_S, check=False
    )
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


def told(row: dict[str, Any]) -> dict[str, Any]:
    """Return the properties in a row; a table of geopandas knows days by the millisecond."""
    day = row["sampled_on"]
    return {**row, "sampled_on": day and day[:10]}


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_table_has_every_row_and_value(served: str, collection: str) -> None:
    ours = features_of(served, collection)

    table = read(served, collection)

    assert {row.pop("id"): told(row) for row in table["rows"]} == ours


def test_types_come_from_the_schema_and_the_values(served: str) -> None:
    table = read(served, "pits")

    types = table["types"]
    assert {types[name] for name in ("depth_cm", "area_m2", "latitude")} == {"float64"}
    assert {types[name] for name in ("year", "month", "cell_level", "found")} == {"int32"}
    assert {types[name] for name in ("paired", "effort_known")} == {"bool"}
    assert types["sampled_on"].startswith("datetime64")
    assert table["columns"].count("id") == 1


@pytest.mark.parametrize(
    ("where", "rows"),
    [
        ("sampled_on >= '2025/04/07' AND sampled_on <= '2025/04/20'", 14),
        ("sampled_on = '2025/04/07'", 1),
        ("habitat = 'hedge'", 2),
        ("depth_cm = 2.75", 1),
    ],
)
def test_condition_is_understood_by_both(served: str, where: str, rows: int) -> None:
    assert len(read(served, "pits", where)["rows"]) == rows
