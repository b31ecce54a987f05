"""Who has confirmed which change, and who is behind."""

import hashlib
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Max, Min, Q

from portal.harvesters.models import Harvester
from portal.records.models import ChangeEntry, Tombstone


@dataclass(frozen=True)
class Confirmation:
    """A harvester that holds, or held, our records; and when it confirmed a change, if it did."""

    harvester: str
    confirmed_at: datetime | None


@dataclass(frozen=True)
class Standing:
    """How far a harvester has come: what it confirmed last, and what it still owes since when."""

    harvester: Harvester
    entry: int
    acknowledged_at: datetime | None
    entries_owed: int
    withdrawals_owed: int
    behind_since: datetime | None


def confirmations_of(entry_number: int) -> list[Confirmation]:
    """Return every harvester that was there when an entry was made, by name.

    One that registered later never had what the entry took away; one that left before it
    no longer reads the feed.
    """
    expected = Harvester.objects.filter(
        Q(left_after__isnull=True) | Q(left_after__gte=entry_number),
        joined_after__lt=entry_number,
    ).annotate(
        confirmed_at=Min(
            "acknowledgements__acknowledged_at",
            filter=Q(acknowledgements__entry__gte=entry_number),
        )
    )
    return [Confirmation(one.name, one.confirmed_at) for one in expected.order_by("name", "id")]


def withdrawal_entry_of(public_id: UUID) -> int | None:
    """Return the number of the entry that tells of a record's withdrawal, if it was withdrawn."""
    return Tombstone.objects.filter(id=public_id).values_list("entry", flat=True).first()


def acknowledged_entry(harvester: Harvester) -> int:
    """Return the number of the last entry that a harvester confirmed; 0 before the first."""
    last: int | None = harvester.acknowledgements.aggregate(last=Max("entry"))["last"]
    return last or 0


def standings() -> list[Standing]:
    """Return where each present harvester stands, those behind for the longest first."""
    present = Harvester.objects.filter(left_after__isnull=True)
    found = [_standing(harvester) for harvester in present]
    return sorted(found, key=lambda one: (-one.entries_owed, one.harvester.pk))


def harvester_of(secret: str) -> Harvester | None:
    """Return the harvester whose token this is, if it is one in force."""
    return Harvester.objects.filter(sha256=token_hash(secret)).first()


def token_hash(secret: str) -> str:
    """Return what is stored of a token; 256 random bits need no slow hash."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _standing(harvester: Harvester) -> Standing:
    acknowledged = acknowledged_entry(harvester)
    # What was told before it registered is not owed: it had nothing yet that could be withdrawn.
    known = max(acknowledged, harvester.joined_after)
    owed = ChangeEntry.objects.filter(number__gt=known)
    first = owed.order_by("number").first()
    last = harvester.acknowledgements.filter(entry=acknowledged).first()
    return Standing(
        harvester,
        entry=acknowledged,
        acknowledged_at=last.acknowledged_at if last else None,
        entries_owed=owed.count(),
        withdrawals_owed=owed.filter(release__isnull=True).count(),
        behind_since=first.at if first else None,
    )
