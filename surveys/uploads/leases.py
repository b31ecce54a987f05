"""Who works on a job: one worker at a time, and another once that one is no longer heard of."""

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q

from surveys.uploads.models import JobState, UploadJob

LEASE = timedelta(seconds=60)
MOST_ATTEMPTS = 5  # starts without any progress between them


class LeaseLost(Exception):  # noqa: N818 -- reads as what happened
    """Another worker has the job, or somebody cancelled it: leave it alone."""


def claim(*, worker: str, at: datetime) -> UploadJob | None:
    """Take the oldest job that waits or whose worker fell silent; nothing if there is none."""
    waiting = Q(state=JobState.QUEUED) | Q(state=JobState.RUNNING, lease_until__lt=at)
    for key in UploadJob.objects.filter(waiting).order_by("id").values_list("pk", flat=True)[:10]:
        taken = UploadJob.objects.filter(waiting, pk=key).update(
            state=JobState.RUNNING,
            worker=worker,
            lease_until=at + LEASE,
            attempts=F("attempts") + 1,
        )
        if taken:
            return UploadJob.objects.select_related("group").get(pk=key)
    return None


def hold(job: UploadJob, *, at: datetime) -> UploadJob:
    """Lock the job's row for the rest of the transaction and prolong the lease.

    Everything that a worker stores is stored under this lock, so that of two workers that both
    think that they have a job only one can go on.

    Raises
    ------
    LeaseLost
        If the worker has it no longer, or it is being cancelled.
    """
    held = UploadJob.objects.select_for_update().get(pk=job.pk)
    if held.state != JobState.RUNNING or held.worker != job.worker or held.is_cancelling:
        raise LeaseLost
    held.lease_until = at + LEASE
    return held


@transaction.atomic
def beat(job: UploadJob, *, row: int, at: datetime) -> None:
    """Say that the worker is still there and how far it has read, where it stores nothing."""
    held = hold(job, at=at)
    held.done = row
    held.save(update_fields=["lease_until", "done"])


@transaction.atomic
def let_go(job: UploadJob, *, at: datetime) -> None:
    """Give a job back after a mistake of ours; after many starts without progress, give it up."""
    held = UploadJob.objects.select_for_update().get(pk=job.pk)
    if held.state != JobState.RUNNING or held.worker != job.worker:
        return
    held.worker, held.lease_until = "", None
    held.state = JobState.QUEUED
    if held.attempts >= MOST_ATTEMPTS:
        held.state, held.finished_at = JobState.FAILED, at
    held.save()
