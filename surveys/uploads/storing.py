"""Hand visits of a file to the intake, and tell its faults as faults of the table."""

import json
from datetime import datetime
from typing import Any

from surveys.intake.batches import Item, rehearse_batch, store_batch
from surveys.intake.faults import Fault, cut
from surveys.intake.reading import read_visit
from surveys.uploads.faults import RowFault
from surveys.uploads.gathering import Gathered
from surveys.uploads.models import UploadJob
from surveys.uploads.notes import Notes

TOLD = ("error", "query")  # a note asks nothing; it is kept with the visit


def store_visits(
    job: UploadJob, visits: list[Gathered], notes: Notes, *, at: datetime
) -> list[RowFault]:
    """Store the good ones of some visits, count them, and return every fault.

    Call it inside a transaction that also keeps the faults and the progress.
    """
    faults: list[RowFault] = []
    good: list[Gathered] = []
    for visit in visits:
        own = _own_faults(visit, job.apart)
        faults += own
        if own:
            job.count(received=1, rejected=1)
        else:
            good.append(visit)
    if good:
        for item, visit in zip(_take(job, good, notes, at), good, strict=True):
            job.count(received=1, **{item.outcome.value: 1})
            faults += _told(item.faults, visit, f"/visits/{item.position}")
    return sorted(faults, key=lambda fault: fault.row or 0)


def _take(job: UploadJob, visits: list[Gathered], notes: Notes, at: datetime) -> list[Item]:
    if job.is_rehearsal:
        batch = {"visits": [_placed(visit.raw, job, notes) for visit in visits]}
        return rehearse_batch(group=job.group, batch=batch, at=at)
    batch = {"visits": [visit.raw for visit in visits]}
    _, items = store_batch(
        group=job.group,
        token_name=job.token_name,
        body=json.dumps(batch).encode(),
        batch=batch,
        at=at,
        all_or_nothing=False,
    )
    return items


def _placed(raw: Any, job: UploadJob, notes: Notes) -> Any:
    """Return a visit with the place of its site, if that site would be stored by now."""
    site = raw.get("site") if isinstance(raw, dict) else None
    code = site.get("code") if isinstance(site, dict) else None
    if not isinstance(code, str) or job.group.sites.filter(code=code).exists():
        return raw
    return notes.with_place(raw)


def _own_faults(visit: Gathered, apart: list[str]) -> list[RowFault]:
    """Return the faults that make a visit unfit to be looked at, and those of its shape."""
    faults = [*visit.faults]
    if visit.ref and visit.ref in apart:
        faults.append(
            RowFault(
                row=visit.first_row,
                column="client_ref",
                code="rows-apart",
                message="Rows of this visit also stand elsewhere in the table.",
                received=visit.ref,
                allowed="all rows of a visit one below the other",
                record=visit.ref[:80],
            )
        )
    if faults and visit.raw:
        faults += _told(read_visit(visit.raw, "")[1], visit, "")
    return faults


def _told(faults: list[Fault], visit: Gathered, base: str) -> list[RowFault]:
    told = []
    for fault in faults:
        if fault.severity not in TOLD:
            continue
        place = visit.place_of(fault.pointer.removeprefix(base))
        told.append(
            RowFault(
                row=place.row,
                column=place.column,
                code=fault.code,
                message=fault.message,
                received=cut(fault.received if place.received is None else place.received),
                allowed=fault.allowed,
                severity=fault.severity,
                record=visit.ref[:80],
            )
        )
    return told
