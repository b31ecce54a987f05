"""One upload, its workers and their end; started by ``bench_uploads``."""

import csv
import io
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.core.management import call_command
from django.db.models import Count, Sum
from django.utils import timezone

from surveys.people.models import Group
from surveys.uploads.cells import text_of
from surveys.uploads.columns import Layout
from surveys.uploads.models import JobPhase, JobState, UploadJob
from surveys.uploads.operations import receive
from surveys.uploads.samples import sample_visits
from surveys.uploads.spreading import columns_for, rows_of
from surveys.uploads.store import incoming
from surveys.visits.models import Count as CountOfLine
from surveys.visits.models import Visit
from tests.factories.private import ConsentFactory, ParticipantFactory, sending_group
from tests.surveys.uploads.files import protocol_named

PROTOCOL = "species-pit/1"
ROWS_OF_A_VISIT = 32
ANIMALS_OF_A_VISIT = 24
PARTICIPANTS = 250
KILLS_AT = (0.33, 0.66)  # of the rows
LIMIT = 2**30
TELL_EVERY_S = 30


def lines_of(rows: int, group: Group) -> Iterator[bytes]:
    """Yield the table, a visit at a time; visits differ in person, place and day."""
    protocol = protocol_named(PROTOCOL)
    columns = columns_for(protocol, Layout.LONG)
    visit = sample_visits(protocol, group)[0] | {"note": ""}
    sample = [[text_of(cell) for cell in row] for row in rows_of(visit, columns, Layout.LONG)]
    names = [column.name for column in columns]
    yield _csv([names])
    for number in range(rows // ROWS_OF_A_VISIT):
        own = {
            "client_ref": f"V-{number:05}",
            "participant": f"P-{number % PARTICIPANTS:03}",
            "site.code": f"S-{number:05}",
            "site.latitude": f"{52.62123 + number % 300 / 1000:.5f}",
            "site.longitude": f"{-0.88345 + number // 300 * 0.004:.5f}",
            "visited_on": f"2025-04-{number % 28 + 1:02}",
        }
        yield _csv([[own.get(n, c) for n, c in zip(names, row, strict=True)] for row in sample])


def _csv(rows: list[list[str]]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


def made_job(rows: int) -> UploadJob:
    """Return the job of a new file, and the people whom it names."""
    group = sending_group()
    for number in range(PARTICIPANTS):
        participant = ParticipantFactory.create(group=group, code=f"P-{number:03}")
        ConsentFactory.create(participant=participant)
    key = uuid4()
    with incoming(key, LIMIT) as file:
        for piece in lines_of(rows, group):
            file.write(piece)
    return receive(
        group=group,
        token_name="bench",  # noqa: S106 -- its name
        key=key,
        file=file,
        answers={},
        is_rehearsal=False,
        at=timezone.now(),
    )


def started() -> subprocess.Popen[bytes]:
    """Start a worker of its own process."""
    return subprocess.Popen([sys.executable, "-m", "django", "runjobs"])


def memory_mb(worker: subprocess.Popen[bytes]) -> int:
    """Return the most memory that a process has held so far."""
    status = Path(f"/proc/{worker.pid}/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) // 1024


def watched(job: UploadJob) -> Iterator[tuple[float, int, str]]:
    """Kill the worker twice on the way; yield the seconds, the memory and what happened."""
    start = told = time.monotonic()
    for kill_at in (*KILLS_AT, None):
        worker = started()
        what = ""
        while not what.startswith(("killed", "finished")):
            time.sleep(0.5)
            what = happening(job, kill_at)
            if what or time.monotonic() - told > TELL_EVERY_S:
                told = time.monotonic()
                yield told - start, memory_mb(worker), what or f"at row {job.done}"
        worker.send_signal(signal.SIGKILL)
        worker.wait()


def happening(job: UploadJob, kill_at: float | None) -> str:
    """Return what is to be done or is done, or nothing while the job goes on."""
    job.refresh_from_db()
    if job.state not in {JobState.QUEUED, JobState.RUNNING}:
        return "finished"
    share = job.done / (job.total_rows or 1) if job.phase == JobPhase.RECORDS else 0
    return f"killed at row {job.done}" if kill_at is not None and share > kill_at else ""


def verdict(job: UploadJob, rows: int) -> dict[str, Any]:
    """Return what is stored against what was sent."""
    visits = Visit.objects.filter(group=job.group)
    doubled = visits.values("client_ref").annotate(n=Count("id")).filter(n__gt=1).count()
    counts = CountOfLine.objects.filter(phase__pit__visit__group=job.group)
    sent = rows // ROWS_OF_A_VISIT
    return {
        "state": job.state,
        "tally": job.tally,
        "visits stored, sent": (visits.count(), sent),
        "rows stored, sent": (counts.count(), sent * ROWS_OF_A_VISIT),
        "animals stored, sent": (counts.aggregate(n=Sum("number"))["n"], sent * ANIMALS_OF_A_VISIT),
        "references twice": doubled,
        "faults": job.faults.filter(severity="error").count(),
    }


def run(rows: int) -> None:
    """Run and report."""
    call_command("migrate", verbosity=0)
    job = made_job(rows)
    tell(f"{rows} rows, {job.size_bytes / 1e6:.0f} MB")
    for seconds, memory, what in watched(job):
        tell(f"{seconds:7.0f} s  {memory:4} MB  {what}")
    for name, value in verdict(job, rows).items():
        tell(f"{name}: {value}")


def tell(line: str) -> None:
    """Write a line at once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()
