"""An idempotency key: its answer is given once, kept for a day, and replayed.

A key is claimed in a transaction of its own before the work, so that a request that comes while
the first is at work is told so at once on either database. Answer and work are one transaction.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction

from surveys.intake.models import IdempotentAnswer
from surveys.people.models import Group

KEPT = timedelta(hours=24)
# Longer than any batch takes: a claim as old as this is of a process that has died.
LEASE = timedelta(minutes=5)


@dataclass(frozen=True)
class Answer:
    """What to answer: an HTTP status and a JSON body without addresses."""

    status: int
    body: dict[str, Any]
    replayed: bool = False


class KeyReused(Exception):  # noqa: N818 -- reads as what happened
    """An idempotency key came again with another request."""


class KeyBusy(Exception):  # noqa: N818 -- reads as what happened
    """The first request with this key is still at work."""


def answer_once(
    *, group: Group, key: str, request_sha256: str, at: datetime, work: Callable[[], Answer]
) -> Answer:
    """Do the work unless it was done for this key within a day; return its answer.

    Raises
    ------
    KeyReused
        If the key was used for another request.
    KeyBusy
        If the same request is at work in another process.
    """
    forget_answers(at=at, group=group)
    held = IdempotentAnswer.objects.filter(group=group, key=key).first()
    if held is not None:
        replay = _replay(held, request_sha256, at)
        if replay is not None:
            return replay
    claim = _claim(held, group, key, request_sha256, at)
    try:
        with transaction.atomic():
            answer = work()
            _keep(claim, answer, at)
    except BaseException:
        IdempotentAnswer.objects.filter(pk=claim.pk, created_at=at, status=None).delete()
        raise
    return answer


def forget_answers(*, at: datetime, group: Group | None = None) -> int:
    """Delete answers older than a day, of one group or of all; returns their number."""
    old = IdempotentAnswer.objects.filter(created_at__lte=at - KEPT)
    if group is not None:
        old = old.filter(group=group)
    return old.delete()[0] if old.exists() else 0


def _replay(held: IdempotentAnswer, request_sha256: str, at: datetime) -> Answer | None:
    """Return the answer that was given; nothing if whoever was at work has died.

    Raises
    ------
    KeyReused
        If the key was used for another request.
    KeyBusy
        If that work may still go on.
    """
    if held.request_sha256 != request_sha256:
        msg = "This Idempotency-Key was used for another request."
        raise KeyReused(msg)
    if held.status is not None and held.answer is not None:
        return Answer(held.status, held.answer, replayed=True)
    if held.created_at > at - LEASE:
        raise KeyBusy(_BUSY)
    return None


_BUSY = "The first request with this Idempotency-Key is not answered yet."


def _claim(
    dead: IdempotentAnswer | None, group: Group, key: str, request_sha256: str, at: datetime
) -> IdempotentAnswer:
    """Write down who works on a key; of two at once only one gets it.

    Raises
    ------
    KeyBusy
        If another process got it.
    """
    if dead is not None:
        taken = IdempotentAnswer.objects.filter(
            pk=dead.pk, status=None, created_at=dead.created_at
        ).update(created_at=at)
        if not taken:
            raise KeyBusy(_BUSY)
        return dead
    try:
        with transaction.atomic():
            return IdempotentAnswer.objects.create(
                group=group, key=key, request_sha256=request_sha256, created_at=at
            )
    except IntegrityError as error:
        raise KeyBusy(_BUSY) from error


def _keep(claim: IdempotentAnswer, answer: Answer, at: datetime) -> None:
    """Write the answer down.

    Raises
    ------
    KeyBusy
        If another process took the claim over, so that this work must be undone.
    """
    kept = IdempotentAnswer.objects.filter(pk=claim.pk, created_at=at).update(
        status=answer.status, answer=answer.body
    )
    if not kept:
        raise KeyBusy(_BUSY)
