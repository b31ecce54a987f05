"""Receipts for answers about consent: what was agreed, to which words, under a hash.

The hash is over the receipt without it, in one canonical form: UTF-8 JSON, keys sorted, no spaces.
A random salt is part of the receipt, so that nobody can find out from a hash who answered what.
The hash stands in the trail too, whose entries carry the hash of the one before: neither a receipt
nor the trail can be changed later without a difference that this module shows.
"""

import hashlib
import hmac
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from surveys.audit.models import AuditEntry
from surveys.people.models import Consent, ConsentStatement
from surveys.people.wording import text_sha256

FORM = "drilosphere-consent-receipt/1"
SEAL = "sha256"
Receipt = dict[str, Any]


def receipt_of(consent: Consent) -> Receipt:
    """Return the receipt of an answer."""
    receipt = {
        "form": FORM,
        "participant": f"{consent.participant.group.code}/{consent.participant.code}",
        "purpose": str(consent.purpose),
        "decision": str(consent.decision),
        "given_by": str(consent.given_by),
        "giver": consent.giver,
        "decided_at": _instant(consent.decided_at),
        "ends_on": consent.ends_on.isoformat() if consent.ends_on else None,
        "statement_version": consent.statement_version,
        "statement_sha256": _words(consent),
        "language": consent.language,
        "evidence": str(consent.evidence),
        "evidence_ref": consent.evidence_ref,
        "salt": consent.receipt_salt,
    }
    return receipt | {SEAL: sealed(receipt)}


def sealed(receipt: Mapping[str, Any]) -> str:
    """Return the hash over the canonical form of a receipt."""
    told = {name: value for name, value in receipt.items() if name != SEAL}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def is_whole(receipt: Mapping[str, Any]) -> bool:
    """Tell whether a receipt says what it said when it was given; needs no database."""
    told = receipt.get(SEAL)
    if receipt.get("form") != FORM or not receipt.get("salt") or not isinstance(told, str):
        return False
    return hmac.compare_digest(told.encode(), sealed(receipt).encode())


def entry_of(receipt: Mapping[str, Any]) -> AuditEntry | None:
    """Return the entry of the trail that an answer was noted in with this very receipt."""
    return AuditEntry.objects.filter(detail__receipt_sha256=str(receipt.get(SEAL))).first()


def as_text(receipt: Mapping[str, Any]) -> str:
    """Return a receipt as lines to be read by its holder."""
    lines = [
        "Receipt for an answer about consent",
        "",
        *(f"{name}: {value}" for name, value in receipt.items() if value not in {None, ""}),
        "",
        "Keep this. The line sha256 is a fingerprint of all the others: if anybody changed what",
        "you agreed to, it would no longer fit.",
    ]
    return "\n".join(lines) + "\n"


def _words(consent: Consent) -> str | None:
    """Return the hash of the words that the answer was about, if they are stored."""
    asked = ConsentStatement.objects.filter(
        purpose=consent.purpose, version=consent.statement_version
    ).first()
    return text_sha256(asked, consent.language) if asked else None


def _instant(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
