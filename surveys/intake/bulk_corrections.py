"""Take many corrected visits in at once, or show what they would change."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from surveys.intake.checking import payload_hash
from surveys.intake.corrections import NotCorrectable, StaleRevision, take_correction
from surveys.intake.faults import Fault
from surveys.intake.idempotency import Answer
from surveys.intake.keeping import keep_items, keep_submission
from surveys.intake.models import ItemOutcome
from surveys.intake.payload import MAX_VISITS
from surveys.intake.reading import sent_ref
from surveys.intake.strict_json import NotReadable, read_json
from surveys.people.models import Group
from surveys.people.operations import hold_group
from surveys.visits.differences import Difference, differences
from surveys.visits.models import Visit
from surveys.visits.stored import facts_of

OK, NOT_JSON, WRONG = 200, 400, 422


@dataclass
class Item:
    """What became of one correction."""

    position: int
    client_ref: str
    outcome: ItemOutcome = ItemOutcome.REJECTED
    visit: Visit | None = None
    changed: list[Difference] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def correct_many(
    *,
    group: Group,
    token_name: str,
    body: bytes,
    at: datetime,
    dry_run: bool,
    all_or_nothing: bool,
) -> Answer:
    """Store corrections as next revisions and return what became of each.

    A rehearsal stores nothing and answers the same. A correction that is what is stored already
    is unchanged, so that the same request can be sent again.
    """
    try:
        sent, fault = _corrections(read_json(body))
    except NotReadable as error:
        fault = Fault("", "body-not-json", "error", str(error))
        return Answer(NOT_JSON, {"stored": False, "items": [], "errors": [fault.as_dict()]})
    if fault is not None:
        return Answer(WRONG, {"stored": False, "items": [], "errors": [fault.as_dict()]})
    with transaction.atomic():
        hold_group(group)
        items = _take_all(sent, group, at)
        is_refused = all_or_nothing and any(i.outcome == ItemOutcome.REJECTED for i in items)
        is_kept = not dry_run and not is_refused
        if is_kept:
            submission = keep_submission(group=group, token_name=token_name, body=body, at=at)
            keep_items(submission, items)
        else:
            transaction.set_rollback(True)
    return _answer(items, is_kept=is_kept, is_refused=is_refused)


def _corrections(batch: Any) -> tuple[list[dict[str, Any]], Fault | None]:
    sent = batch.get("corrections") if isinstance(batch, dict) and len(batch) == 1 else None
    if not isinstance(sent, list) or not 1 <= len(sent) <= MAX_VISITS:
        allowed = f'{{"corrections": [...]}} with 1 to {MAX_VISITS} entries'
        message = "Corrections come as an object with a list called corrections."
        return [], Fault("", "corrections-shape", "error", message, batch, allowed)
    for number, one in enumerate(sent):
        is_whole = isinstance(one, dict) and set(one) == {"revision", "visit"}
        if not is_whole or type(one["revision"]) is not int:
            message = "A correction names the revision that was read, and holds the whole visit."
            allowed = '{"revision": 1, "visit": {...}}'
            pointer = f"/corrections/{number}"
            return [], Fault(pointer, "corrections-shape", "error", message, one, allowed)
    return sent, None


def _take_all(sent: Sequence[dict[str, Any]], group: Group, at: datetime) -> list[Item]:
    # All are held before the first is written, always in the same order: whoever decides on one
    # of them meanwhile waits, and neither waits for the other.
    refs = {sent_ref(one["visit"]) for one in sent}
    held = group.visits.filter(client_ref__in=refs).select_for_update().order_by("pk")
    known = {visit.client_ref: visit for visit in held}
    items: list[Item] = []
    for position, one in enumerate(sent):
        item = Item(position, sent_ref(one["visit"]))
        if any(item.client_ref == earlier.client_ref for earlier in items):
            _refuse(item, "ref-twice", "The same client_ref stands twice in this batch.")
        elif item.client_ref not in known:
            _refuse(item, "ref-unknown", "Your group has sent no visit with this client_ref.")
        else:
            _take(item, known[item.client_ref], one, group, at)
        items.append(item)
    return items


def _take(item: Item, visit: Visit, sent: dict[str, Any], group: Group, at: datetime) -> None:
    item.visit = visit
    if visit.payload_sha256 == payload_hash(sent["visit"]):
        item.outcome = ItemOutcome.UNCHANGED
        return
    before = facts_of(visit)
    try:
        item.visit, item.faults = take_correction(
            group=group,
            visit=visit,
            raw=sent["visit"],
            revision=sent["revision"],
            at=at,
            pointer=f"/corrections/{item.position}/visit",
        )
    except StaleRevision as error:
        _refuse(item, "revision-stale", str(error), "revision", sent["revision"])
    except NotCorrectable as error:
        item.faults = error.faults
    else:
        item.outcome = ItemOutcome.CORRECTED
        item.changed = differences(before, facts_of(item.visit))


def _refuse(
    item: Item, code: str, message: str, where: str = "visit/client_ref", received: Any = None
) -> None:
    item.faults = [
        Fault(
            pointer=f"/corrections/{item.position}/{where}",
            code=code,
            severity="error",
            message=message,
            received=item.client_ref if received is None else received,
            record=item.client_ref,
        )
    ]


def _answer(items: Sequence[Item], *, is_kept: bool, is_refused: bool) -> Answer:
    outcomes = [item.outcome for item in items]
    rejected = outcomes.count(ItemOutcome.REJECTED)
    faults = [fault.as_dict() for item in items for fault in item.faults]
    body = {
        "stored": is_kept,
        "summary": {
            "received": len(items),
            "corrected": outcomes.count(ItemOutcome.CORRECTED),
            "unchanged": outcomes.count(ItemOutcome.UNCHANGED),
            "rejected": rejected,
        },
        "items": [_item(item) for item in items],
        "errors": faults,
    }
    return Answer(WRONG if is_refused or rejected == len(items) else OK, body)


def _item(item: Item) -> dict[str, Any]:
    return {
        "position": item.position,
        "client_ref": item.client_ref,
        "outcome": item.outcome.value,
        "revision": None if item.visit is None else item.visit.revision,
        "changed": [asdict(one) for one in item.changed],
        "faults": len(item.faults),
    }
