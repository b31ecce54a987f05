"""Write one file of a release of many rows and tell the peak of memory, as a process of its own.

``main archive.zip 5000 target.zip`` fills the database that DATABASE_URL names with 5000 visits
of two pits, then writes the file, and answers on standard output with the rows of each table
and the memory of the process before and at its peak.
"""

import json
import re
import sys
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.db.models import Model

from portal.archive.reading import visit_trees
from portal.archive.release_files import FILE_KINDS
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, Release
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, counts_of, pit_of

STATUS = Path("/proc/self/status")
MADE = ("row", "document", "degree_cell")  # of a row by the database, or of its other columns
KEPT = "kept"  # in place of a file: every row is read and kept, the fault to be seen


def make_rows(visits: int) -> None:
    """Copy the rows of one visit many times under new ids, inside the database."""
    models: tuple[type[Model], ...] = (Release, PublishedVisit, PublishedPit, PublishedCount)
    with connection.schema_editor() as editor:
        for model in models:
            editor.create_model(model)
    ReleaseFactory.create(number=1)
    visit = PublishedVisitFactory.create()
    for _ in range(2):
        pit = pit_of(visit)
        counts_of(pit, "hand_sort", (1, 0, 2, 5))
        counts_of(pit, "expellant", (0, 0, 0, 0))
    for model in models[1:]:
        _multiply(model, visits)


def _multiply(model: type[Model], times: int) -> None:
    """Insert each row again with its ids counted on, so that what belongs together stays so."""
    changed = {"id", "visit_id", "pit_id", "phase_id", "site_id"}
    columns = [field.column for field in model._meta.concrete_fields if field.column not in MADE]
    quoted = ", ".join(f'"{name}"' for name in columns)
    values = ", ".join(
        f"substr({name}, 1, 24) || printf('%08x', n)" if name in changed else f'"{name}"'
        for name in columns
    )
    table = model._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(
            f"WITH RECURSIVE copies(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM copies"  # noqa: S608 -- names of ours
            f" WHERE n < {times - 1}) INSERT INTO {table} ({quoted})"
            f" SELECT {values} FROM {table}, copies"
        )


def measure(name: str, visits: int, path: Path) -> dict[str, Any]:
    """Return the rows written and the growth of the peak while they were written."""
    make_rows(visits)
    release = Release.objects.get(number=1)
    before = peak_kib()
    if name == KEPT:
        rows = {"visits": len(list(visit_trees(release.number)))}
    else:
        kind = next(kind for kind in FILE_KINDS if kind.name == name)
        with path.open("wb") as target, transaction.atomic():  # as when a release is made
            rows = kind.write(release, target)
    return {"rows": rows, "before_kib": before, "peak_kib": peak_kib()}


def peak_kib() -> int:
    """Return the highest memory of this program; that of getrusage counts its parent's too."""
    found = re.search(r"VmHWM:\s+(\d+) kB", STATUS.read_text())
    return int(found[1]) if found else 0


def main() -> None:
    """Measure what the command line names."""
    name, visits, path = sys.argv[1:]
    sys.stdout.write(json.dumps(measure(name, int(visits), Path(path))))
