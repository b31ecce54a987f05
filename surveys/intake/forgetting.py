"""Take what was sent of an erased person out of what is kept word for word."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any

from surveys.intake.models import IdempotentAnswer, Submission, SubmissionItem
from surveys.people.models import Group, Participant

ERASED = {"erased": True}
_NAMES = ("participant", "client_ref")


def forget_sent(participant: Participant) -> int:
    """Put a mark in place of each record of a person in what their group sent.

    Records of others stay where they were. Returns how many submissions were changed.
    """
    refs = set(participant.visits.values_list("client_ref", flat=True))
    linked = set(
        SubmissionItem.objects.filter(visit__participant=participant).values_list(
            "submission_id", flat=True
        )
    )
    changed = set()
    for sent in Submission.objects.filter(group=participant.group).iterator(chunk_size=50):
        body, positions = _without(bytes(sent.body), participant.code, refs)
        if body is None and sent.pk in linked:
            body = json.dumps(ERASED).encode()
        if body is not None:
            _keep(sent, body, positions, participant)
            changed.add(str(sent.public_key))
    _forget_answers(participant.group, {participant.code, *refs, *changed})
    return len(changed)


def _without(body: bytes, code: str, refs: set[str]) -> tuple[bytes | None, set[int]]:
    """Return a body without the records of a person and their places, or nothing if it has none."""
    try:
        told = json.loads(body)
    except ValueError:
        return None, set()
    if _is_of(told, code, refs):
        return json.dumps(ERASED).encode(), {0}
    lists = [one for one in told.values() if isinstance(one, list)] if _is_object(told) else []
    positions = set()
    for items in lists:
        for place, item in enumerate(items):
            if _is_of(item, code, refs):
                items[place] = ERASED
                positions.add(place)
    return (
        (json.dumps(told, ensure_ascii=False).encode(), positions) if positions else (None, set())
    )


def _is_of(item: Any, code: str, refs: set[str]) -> bool:
    """Tell whether a record, or a correction that holds one, is of a person."""
    if not _is_object(item):
        return False
    participant, reference = (item.get(name) for name in _NAMES)
    return (
        participant == code
        or (isinstance(reference, str) and reference in refs)
        or any(_is_of(value, code, refs) for value in item.values())
    )


def _is_object(value: Any) -> bool:
    return isinstance(value, dict)


def _keep(sent: Submission, body: bytes, positions: set[int], participant: Participant) -> None:
    sent.body, sent.body_sha256 = body, hashlib.sha256(body).hexdigest()
    sent.save(update_fields=["body", "body_sha256"])
    items = sent.items.filter(position__in=positions) | sent.items.filter(
        visit__participant=participant
    )
    items.update(client_ref="", faults=[])


def _forget_answers(group: Group, words: set[str]) -> None:
    """Forget the answers kept for repeated requests that hold a word; they may quote what was sent.

    A request that is repeated after that is taken as a new one.
    """
    for kept in IdempotentAnswer.objects.filter(group=group).iterator(chunk_size=50):
        if words & set(_words_in(kept.answer)):
            kept.delete()


def _words_in(told: Any) -> Iterator[str]:
    if isinstance(told, str):
        yield told
    elif isinstance(told, dict):
        for value in told.values():
            yield from _words_in(value)
    elif isinstance(told, list):
        for value in told:
            yield from _words_in(value)
