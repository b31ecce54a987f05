"""Store a batch of visits, or say of each what is wrong with it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from surveys.audit.operations import record
from surveys.checks.operations import keep_outcomes
from surveys.intake.checking import payload_hash, provenance, read_and_check
from surveys.intake.faults import Fault, escape
from surveys.intake.keeping import keep_items, keep_submission
from surveys.intake.models import ItemOutcome, Submission
from surveys.intake.payload import MAX_VISITS
from surveys.intake.reading import sent_ref
from surveys.people.models import Group
from surveys.people.operations import hold_group
from surveys.visits.models import Visit
from surveys.visits.operations import store_visit


class BatchNotReadable(Exception):  # noqa: N818 -- reads as what happened
    """The body is JSON but no batch; ``faults`` say why."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults[0].message)
        self.faults = faults


class NothingStored(Exception):  # noqa: N818 -- reads as what happened
    """The sender asked for all or nothing, and something was wrong."""

    def __init__(self, items: "list[Item]") -> None:
        super().__init__("Nothing was stored.")
        self.items = items


@dataclass
class Item:
    """What became of one visit of a batch."""

    position: int
    client_ref: str
    outcome: ItemOutcome
    faults: list[Fault] = field(default_factory=list)
    visit: Visit | None = None


def store_batch(
    *, group: Group, token_name: str, body: bytes, batch: Any, at: datetime, all_or_nothing: bool
) -> tuple[Submission, list[Item]]:
    """Store a batch and return it with the outcome of each visit.

    ``batch`` is ``body`` as read by :func:`surveys.intake.strict_json.read_json`.

    Raises
    ------
    BatchNotReadable
        If it is no list of 1 to 200 visits.
    NothingStored
        If ``all_or_nothing`` and a visit is not acceptable; nothing is kept then.
    """
    visits = _visits(batch)
    with transaction.atomic():
        hold_group(group)
        submission = keep_submission(group=group, token_name=token_name, body=body, at=at)
        items = list(_take_all(visits, group, at))
        if all_or_nothing and any(item.outcome == ItemOutcome.REJECTED for item in items):
            raise NothingStored(items)
        keep_items(submission, items)
        record(
            actor=f"group {group.code}",
            action="batch received",
            kind="submission",
            key=str(submission.public_key),
            at=at,
            visits=len(items),
        )
    return submission, items


def rehearse_batch(*, group: Group, batch: Any, at: datetime) -> list[Item]:
    """Return what :func:`store_batch` would answer, and store nothing.

    Raises
    ------
    BatchNotReadable
        If it is no list of 1 to 200 visits.
    """
    visits = _visits(batch)
    with transaction.atomic():
        items = list(_take_all(visits, group, at))
        transaction.set_rollback(True)
    return items


def _visits(batch: Any) -> list[Any]:
    visits = batch.get("visits") if isinstance(batch, dict) else None
    fault = None
    if not isinstance(visits, list):
        fault = Fault(
            pointer="/visits" if isinstance(batch, dict) else "",
            code="batch-shape",
            severity="error",
            message="A batch is an object with a list called visits.",
            received=visits if isinstance(batch, dict) else batch,
            allowed='{"visits": [...]}',
        )
    elif not 1 <= len(visits) <= MAX_VISITS:
        fault = Fault(
            pointer="/visits",
            code="batch-size",
            severity="error",
            message="A batch holds 1 to 200 visits.",
            received=len(visits),
            allowed=f"1 to {MAX_VISITS}",
        )
    else:
        unknown = sorted(set(batch) - {"visits"})
        if unknown:
            fault = Fault(
                pointer=f"/{escape(unknown[0])}",
                code="field-unknown",
                severity="error",
                message="A batch has no such field.",
                received=unknown[0],
                allowed="visits",
            )
    if fault is not None:
        raise BatchNotReadable([fault])
    return list(visits or [])


def _take_all(visits: list[Any], group: Group, at: datetime) -> Iterator[Item]:
    seen: set[str] = set()
    for position, raw in enumerate(visits):
        item = Item(position, sent_ref(raw), ItemOutcome.REJECTED)
        if item.client_ref and item.client_ref in seen:
            yield _rejected(
                item,
                code="ref-twice",
                message="The same client_ref stands twice in this batch.",
            )
        else:
            yield _take(item, raw, group, at)
        seen.add(item.client_ref)


def _take(item: Item, raw: Any, group: Group, at: datetime) -> Item:
    ref = item.client_ref
    known = group.visits.filter(client_ref=ref).first() if ref else None
    if known is not None:
        return _known(item, known, raw)
    read, item.faults = read_and_check(raw, group, f"/visits/{item.position}", at)
    if read is None or any(fault.severity == "error" for fault in item.faults):
        return item
    item.visit = store_visit(facts=read.facts, provenance=provenance(read, group, at))
    keep_outcomes(visit=item.visit, findings=read.findings, at=at)
    item.outcome = ItemOutcome.STORED
    return item


def _known(item: Item, known: Visit, raw: Any) -> Item:
    item.visit = known
    if known.payload_sha256 == payload_hash(raw):
        item.outcome = ItemOutcome.UNCHANGED
        return item
    return _rejected(
        item,
        code="ref-exists",
        message="This client_ref is stored already with other content.",
    )


def _rejected(item: Item, *, code: str, message: str) -> Item:
    fault = Fault(
        pointer=f"/visits/{item.position}/client_ref",
        code=code,
        severity="error",
        message=message,
        received=item.client_ref,
        record=item.client_ref,
    )
    return Item(item.position, item.client_ref, ItemOutcome.REJECTED, [fault], item.visit)
