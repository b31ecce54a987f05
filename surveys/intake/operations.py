"""The one call for a batch that came in: answer it, once per idempotency key."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from surveys.intake.batches import (
    BatchNotReadable,
    Item,
    NothingStored,
    rehearse_batch,
    store_batch,
)
from surveys.intake.faults import Fault
from surveys.intake.idempotency import Answer, answer_once
from surveys.intake.models import ItemOutcome
from surveys.intake.strict_json import NotReadable, read_json
from surveys.people.models import Group

ON_ERROR = ("skip", "abort")
NOT_STORED = "not_stored"  # good by itself, but all or nothing was asked for


def submit(  # noqa: PLR0913 -- a request has this many parts
    *,
    group: Group,
    token_name: str,
    body: bytes,
    key: str | None,
    at: datetime,
    dry_run: bool = False,
    on_error: str = "skip",
) -> Answer:
    """Take a batch in and return the answer.

    With a key, a request sent again within a day is answered again and repeats nothing.

    Raises
    ------
    KeyReused
        If the key was used for another request.
    KeyBusy
        If the same request is at work already.
    """
    if key is None or dry_run:
        return _work(group, token_name, body, at, dry_run=dry_run, on_error=on_error)
    return answer_once(
        group=group,
        key=key,
        request_sha256=hashlib.sha256(on_error.encode() + b"\n" + body).hexdigest(),
        at=at,
        work=lambda: _work(group, token_name, body, at, dry_run=False, on_error=on_error),
    )


def _work(
    group: Group, token_name: str, body: bytes, at: datetime, *, dry_run: bool, on_error: str
) -> Answer:
    try:
        batch = read_json(body)
    except NotReadable as error:
        fault = Fault("", "body-not-json", "error", str(error))
        return Answer(400, {"stored": False, "items": [], "errors": [fault.as_dict()]})
    try:
        if dry_run:
            return _answer(rehearse_batch(group=group, batch=batch, at=at), None, on_error)
        submission, items = store_batch(
            group=group,
            token_name=token_name,
            body=body,
            batch=batch,
            at=at,
            all_or_nothing=on_error == "abort",
        )
    except BatchNotReadable as error:
        faults = [fault.as_dict() for fault in error.faults]
        return Answer(422, {"stored": False, "items": [], "errors": faults})
    except NothingStored as error:
        return _answer(error.items, None, on_error)
    return _answer(items, str(submission.public_key), on_error)


def _answer(items: Sequence[Item], submission: str | None, on_error: str) -> Answer:
    """Answer 422 if nothing of the batch is acceptable (or, on abort, if anything is not)."""
    outcomes = [item.outcome for item in items]
    faults = [fault for item in items for fault in item.faults]
    rejected = outcomes.count(ItemOutcome.REJECTED)
    dropped = on_error == "abort" and rejected > 0
    body = {
        "submission": submission,
        "stored": submission is not None,
        "summary": {
            "received": len(items),
            "stored": 0 if dropped else outcomes.count(ItemOutcome.STORED),
            "unchanged": outcomes.count(ItemOutcome.UNCHANGED),
            "rejected": rejected,
            "queries": sum(fault.severity == "query" for fault in faults),
            "notes": sum(fault.severity == "note" for fault in faults),
        },
        "items": [_item(item, dropped=dropped) for item in items],
        "errors": [fault.as_dict() for fault in faults],
    }
    return Answer(422 if dropped or rejected == len(items) else 200, body)


def _item(item: Item, *, dropped: bool) -> dict[str, Any]:
    """Return what became of a visit; a good one of a batch that was dropped is not stored."""
    lost = dropped and item.outcome == ItemOutcome.STORED
    stands = item.visit is not None and item.outcome != ItemOutcome.REJECTED and not lost
    return {
        "position": item.position,
        "client_ref": item.client_ref,
        "outcome": NOT_STORED if lost else item.outcome.value,
        "state": item.visit.state if stands and item.visit else None,
        "faults": len(item.faults),
    }
