"""Do the work of one job; killed at any moment, it goes on where it stopped.

What is stored, the faults found and the mark of progress are one transaction for each step.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from django.conf import settings
from django.db import transaction

from surveys.people.models import Group
from surveys.uploads.columns import HeaderNotKnown
from surveys.uploads.faults import FileNotReadable, RowFault
from surveys.uploads.gathering import Gathered
from surveys.uploads.leases import LeaseLost, beat, hold
from surveys.uploads.models import FileKind, JobPhase, JobState, UploadFault, UploadJob
from surveys.uploads.notes import Notes
from surveys.uploads.packages import PhotoFolder, kind_of, take_table
from surveys.uploads.photographs import keep, look_at
from surveys.uploads.scanning import Scan, scan
from surveys.uploads.store import scratch_file, sent_file, table_file
from surveys.uploads.storing import store_visits
from surveys.uploads.tables import Table, open_table

CHUNK = 50  # visits in one transaction


@dataclass(frozen=True)
class Hands:
    """What a worker needs from outside: the time, and what must follow on a stored chunk."""

    clock: Callable[[], datetime]
    after_storing: Callable[[Group, datetime], None]


def work(job: UploadJob, hands: Hands) -> None:
    """Do a claimed job to its end, or until it has to ask or is taken away."""
    try:
        if job.started_at is not None:  # a worker may have died between storing and following up
            hands.after_storing(job.group, job.started_at)
        table = _prepared(job, hands)
        if table is not None:
            with Notes(scratch_file(job)) as notes:
                _store_records(job, table, notes, hands)
            _keep_photos(job, table, hands)
            _finish(job, JobState.DONE, hands)
    except (FileNotReadable, HeaderNotKnown) as error:
        _fail(job, error.faults, hands)
    except LeaseLost:
        _cancelled(job, hands)


def _prepared(job: UploadJob, hands: Hands) -> Table | None:
    """Return the table ready to be read, or nothing if a question must be answered first."""
    kind = kind_of(sent_file(job))
    table_path = table_file(job)
    if kind == FileKind.ZIP and table_path == sent_file(job):
        table_path = sent_file(job).with_name("table")
        take_table(sent_file(job), table_path, settings.UPLOAD_MAX_BYTES)
    table_kind = kind_of(table_path)
    if job.phase != JobPhase.READING:
        return open_table(table_path, table_kind, job.reading)
    table = open_table(table_path, table_kind, job.answers)
    with Notes(scratch_file(job)) as notes:
        found = scan(table, job.answers, notes, lambda row: beat(job, row=row, at=hands.clock()))
    _keep_scan(job, kind, table, found, hands)
    return None if found.questions else table


@transaction.atomic
def _keep_scan(job: UploadJob, kind: FileKind, table: Table, found: Scan, hands: Hands) -> None:
    held = hold(job, at=hands.clock())
    held.kind = kind
    held.reading = {**table.reading.as_dict(), "layout": table.layout, "because": found.because}
    held.questions = [question.as_dict() for question in found.questions]
    held.apart, held.attempts = found.apart, 0
    held.started_at = held.started_at or hands.clock()
    if found.questions:
        held.state, held.worker, held.lease_until = JobState.ASKING, "", None
    else:
        held.phase, held.done = JobPhase.RECORDS, 0
        held.total_rows, held.total_photos = found.last_row, found.photos
    held.save()
    _follow(job, held)


def _store_records(job: UploadJob, table: Table, notes: Notes, hands: Hands) -> None:
    if job.phase != JobPhase.RECORDS:
        return
    visits = (visit for visit in table.visits() if visit.last_row > job.done)
    while chunk := list(islice(visits, CHUNK)):
        _store_chunk(job, chunk, notes, hands)
    _enter(job, JobPhase.PHOTOS, hands)


def _store_chunk(job: UploadJob, chunk: list[Gathered], notes: Notes, hands: Hands) -> None:
    at = hands.clock()
    with transaction.atomic():
        held = hold(job, at=at)
        faults = store_visits(held, chunk, notes, at=at)
        _keep_faults(held, faults)
        held.done, held.attempts = chunk[-1].last_row, 0
        held.save()
    _follow(job, held)
    if not job.is_rehearsal:
        hands.after_storing(job.group, at)


def _keep_photos(job: UploadJob, table: Table, hands: Hands) -> None:
    if not job.total_photos or job.phase != JobPhase.PHOTOS:
        return
    folder = PhotoFolder(sent_file(job) if job.kind == FileKind.ZIP else None)
    named = ((visit.ref, photo) for visit in table.visits() for photo in visit.photos)
    for number, (ref, photo) in enumerate(named, start=1):
        if number <= job.done:
            continue
        picture = look_at(folder, ref, photo)
        with transaction.atomic():
            held = hold(job, at=hands.clock())
            _keep_faults(held, keep(held, picture, ref, photo, at=hands.clock()))
            held.done, held.attempts = number, 0
            held.save()
        _follow(job, held)


def _enter(job: UploadJob, phase: JobPhase, hands: Hands) -> None:
    with transaction.atomic():
        held = hold(job, at=hands.clock())
        held.phase, held.done = phase, 0
        held.save()
    _follow(job, held)


def _finish(job: UploadJob, state: JobState, hands: Hands) -> None:
    with transaction.atomic():
        held = hold(job, at=hands.clock())
        held.state, held.finished_at = state, hands.clock()
        held.worker, held.lease_until = "", None
        if state == JobState.DONE:
            held.phase, held.done = JobPhase.FINISHED, held.total_rows or 0
        held.save()
    scratch_file(job).unlink(missing_ok=True)


def _fail(job: UploadJob, faults: list[RowFault], hands: Hands) -> None:
    try:
        with transaction.atomic():
            _keep_faults(hold(job, at=hands.clock()), faults)
            _finish(job, JobState.FAILED, hands)
    except LeaseLost:
        _cancelled(job, hands)


@transaction.atomic
def _cancelled(job: UploadJob, hands: Hands) -> None:
    """Close the job if it is being cancelled; if another worker has it, leave it alone."""
    held = UploadJob.objects.select_for_update().get(pk=job.pk)
    if held.is_cancelling and held.worker == job.worker:
        held.state, held.finished_at = JobState.CANCELLED, hands.clock()
        held.worker, held.lease_until = "", None
        held.save()


def _keep_faults(job: UploadJob, faults: list[RowFault]) -> None:
    UploadFault.objects.bulk_create(
        UploadFault(
            job=job,
            row=fault.row,
            column=fault.column[:200],
            record=fault.record,
            severity=fault.severity,
            code=fault.code,
            message=fault.message,
            received=fault.received,
            allowed=fault.allowed or "",
        )
        for fault in faults
    )


def _follow(job: UploadJob, held: UploadJob) -> None:
    """Take over what a step has stored, once it is committed or about to be."""
    for name in ("kind", "reading", "phase", "done", "total_rows", "total_photos", "apart"):
        setattr(job, name, getattr(held, name))
