"""Write the trail, and check that nobody has touched it."""

import hashlib
import json
from datetime import UTC, datetime
from typing import Any

from surveys.audit.models import AuditEntry


def _entry_hash(entry: AuditEntry) -> str:
    parts = [
        entry.previous_hash,
        entry.at.astimezone(UTC).isoformat(),
        entry.actor,
        entry.action,
        entry.subject_kind,
        entry.subject_key,
        entry.detail,
    ]
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()


def record(
    *, actor: str, action: str, kind: str, key: str, at: datetime, **detail: Any
) -> AuditEntry:
    """Add one entry to the trail; call it inside the transaction of the act itself."""
    last = _last_entry()
    entry = AuditEntry(
        at=at,
        actor=actor,
        action=action,
        subject_kind=kind,
        subject_key=key,
        detail=detail,
        previous_hash=last.entry_hash if last else "",
    )
    entry.entry_hash = _entry_hash(entry)
    entry.save()
    return entry


def _last_entry() -> AuditEntry | None:
    # Whoever adds holds the first entry until the end of the transaction; otherwise two at once
    # would follow the same entry, and the chain would look broken.
    AuditEntry.objects.select_for_update().order_by("id").first()
    return AuditEntry.objects.order_by("-id").first()


def first_broken_entry() -> AuditEntry | None:
    """Return the first entry whose hash or link does not fit, or nothing."""
    previous = ""
    for entry in AuditEntry.objects.order_by("id").iterator():
        if entry.previous_hash != previous or entry.entry_hash != _entry_hash(entry):
            return entry
        previous = entry.entry_hash
    return None
