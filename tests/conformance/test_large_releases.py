"""Check 31: a release of 200 000 rows is written in bounded memory.

Each file is written by a process of its own, since the peak of a process only ever grows. Rows
are copied inside the database, so that the process has none of them before it writes. What takes
the time is the cleaning and joining of cells in Python; what takes the memory is one visit, the
500 rows that the database hands over at once and the library itself.
"""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.conformance.large_release import KEPT, STATUS
from tests.conformance.reading import members_of
from tests.conformance.standards import PROJECT_ROOT

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not STATUS.exists(), reason="this system does not tell the peak"),
]

PROGRAM = "import django; django.setup(); from tests.conformance.large_release import main; main()"
# Measured growth of the process is 7 to 9 MiB, whatever the number of rows.
GROWTH_AT_MOST_KIB = 16 * 1024


def written_by_another_process(name: str, visits: int, folder: Path) -> dict[str, Any]:
    database = f"sqlite:///{folder / 'large.sqlite3'}"
    environment = os.environ | {
        "DATABASE_URL": database,
        "DJANGO_SETTINGS_MODULE": "portal.settings",
        "PYTHONPATH": str(PROJECT_ROOT),
    }
    done = subprocess.run(  # noqa: S603 -- our own program
        [
            sys.executable,
            "-c",
            PROGRAM,
            name,
            str(visits),
            str(folder / name),
        ],
        env=environment,
        cwd=PROJECT_ROOT,
        capture_output=True,
        check=True,
        text=True,
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize(
    ("name", "visits", "rows"),
    [
        ("archive.zip", 3150, 201_600),
        ("flat-archive.zip", 600, 8_400),
        ("data-package.zip", 300, 30_000),
    ],
)
def test_large_release_is_written_in_bounded_memory(
    tmp_path: Path, name: str, visits: int, rows: int
) -> None:
    found = written_by_another_process(name, visits, tmp_path)

    assert sum(found["rows"].values()) == rows
    assert found["peak_kib"] - found["before_kib"] < GROWTH_AT_MOST_KIB
    lines = {
        member: content.count(b"\n") - 1
        for member, content in members_of((tmp_path / name).read_bytes()).items()
        if member.endswith((".txt", ".csv"))
    }
    assert lines == found["rows"]


def test_rows_that_were_kept_would_be_seen(tmp_path: Path) -> None:
    found = written_by_another_process(KEPT, 800, tmp_path)

    assert found["rows"] == {"visits": 800}
    assert found["peak_kib"] - found["before_kib"] > GROWTH_AT_MOST_KIB
