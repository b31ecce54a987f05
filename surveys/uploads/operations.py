"""Take an upload in, answer its questions, cancel it, and forget it in the end."""

from datetime import datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.db import transaction

from surveys.audit.operations import record
from surveys.people.models import Group
from surveys.uploads.cells import DATES, DECIMALS, ENCODINGS, SEPARATORS
from surveys.uploads.models import OPEN_STATES, JobPhase, JobState, UploadJob
from surveys.uploads.store import Incoming, remove_files

MOST_OPEN = 10  # jobs of one group that are not finished
# What a sender may say about a file, and the words for it.
ANSWERS = {
    "encoding": ENCODINGS,
    "separator": tuple(SEPARATORS),
    "decimal": DECIMALS,
    "dates": DATES,
}


class WrongState(Exception):  # noqa: N818 -- reads as what happened
    """The job is not in a state for this; the message says which it is in."""


class StillAsking(Exception):  # noqa: N818 -- reads as what happened
    """Some questions are not answered; the message says which."""


def refuse_too_many(group: Group) -> None:
    """Let a group have a limited number of unfinished jobs.

    Raises
    ------
    WrongState
        If it has them already.
    """
    if group.uploads.filter(state__in=OPEN_STATES).count() >= MOST_OPEN:
        msg = f"{MOST_OPEN} uploads are not finished. Wait for one, answer one or cancel one."
        raise WrongState(msg)


@transaction.atomic
def receive(  # noqa: PLR0913 -- an upload has this many facts
    *,
    group: Group,
    token_name: str,
    key: UUID,
    file: Incoming,
    answers: dict[str, str],
    is_rehearsal: bool,
    at: datetime,
) -> UploadJob:
    """Queue a job for a file that is on the disk."""
    job = UploadJob.objects.create(
        group=group,
        public_key=key,
        token_name=token_name,
        sha256=file.sha256,
        size_bytes=file.size,
        received_at=at,
        is_rehearsal=is_rehearsal,
        answers=answers,
    )
    _note(job, "upload received", at=at, sha256=file.sha256, size_bytes=file.size)
    return job


@transaction.atomic
def confirm(*, job: UploadJob, answers: dict[str, str], store: bool, at: datetime) -> UploadJob:
    """Answer what a job asks, or let a rehearsed file be stored; either queues it again.

    Raises
    ------
    WrongState
        If it asks nothing and is no finished rehearsal.
    StillAsking
        If one of its questions has no answer.
    """
    held = UploadJob.objects.select_for_update().get(pk=job.pk)
    is_rehearsed = held.state == JobState.DONE and held.is_rehearsal and store
    if held.state != JobState.ASKING and not is_rehearsed:
        msg = f"The job is {held.state}: it asks nothing, and is no rehearsal to be stored."
        raise WrongState(msg)
    held.answers = {**held.answers, **answers}
    open_questions = [one["about"] for one in held.questions if one["about"] not in held.answers]
    if open_questions:
        msg = f"Not answered: {', '.join(open_questions)}."
        raise StillAsking(msg)
    if store:
        held.is_rehearsal = False
    held.faults.all().delete()
    held.state, held.phase, held.done, held.attempts = JobState.QUEUED, JobPhase.READING, 0, 0
    held.questions, held.tally, held.finished_at = [], {}, None
    held.save()
    _note(held, "upload confirmed", at=at, answers=answers, store=store)
    return held


@transaction.atomic
def cancel(*, job: UploadJob, at: datetime) -> UploadJob:
    """Stop a job, at once or at the next step of its worker; what it has stored stays.

    Raises
    ------
    WrongState
        If it is finished.
    """
    held = UploadJob.objects.select_for_update().get(pk=job.pk)
    if held.state not in OPEN_STATES:
        msg = f"The job is {held.state} already."
        raise WrongState(msg)
    if held.state == JobState.RUNNING and held.lease_until and held.lease_until > at:
        held.is_cancelling = True
    else:
        held.state, held.finished_at = JobState.CANCELLED, at
    held.save()
    _note(held, "upload cancelled", at=at)
    return held


def remove_old(*, at: datetime) -> int:
    """Forget jobs and their files some weeks after they came or ended; returns how many."""
    before = at - timedelta(days=settings.UPLOAD_KEEP_DAYS)
    finished = UploadJob.objects.filter(finished_at__lt=before)
    unanswered = UploadJob.objects.filter(state=JobState.ASKING, received_at__lt=before)
    old = [*finished, *unanswered]
    for job in old:
        remove_files(job)
        job.delete()
    return len(old)


def _note(job: UploadJob, action: str, *, at: datetime, **more: object) -> None:
    record(
        actor=f"group {job.group.code}",
        action=action,
        kind="upload",
        key=str(job.public_key),
        at=at,
        **more,
    )
