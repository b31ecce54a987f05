"""Register harvesters, and keep what they confirm."""

import secrets
from datetime import datetime

from django.db import transaction

from portal.harvesters.models import Acknowledgement, Harvester
from portal.harvesters.queries import acknowledged_entry, token_hash
from portal.records.queries import newest_entry

TOKEN_BYTES = 32


def register(*, name: str, contact: str, homepage: str, at: datetime) -> tuple[Harvester, str]:
    """Register a harvester; the second value is its token, shown once and never stored."""
    prefix = f"drh{secrets.token_hex(3)}"
    secret = f"{prefix}_{secrets.token_urlsafe(TOKEN_BYTES)}"
    harvester = Harvester.objects.create(
        name=name,
        contact=contact,
        homepage=homepage,
        prefix=prefix,
        sha256=token_hash(secret),
        registered_at=at,
        joined_after=newest_entry(),
    )
    return harvester, secret


@transaction.atomic
def acknowledge(*, harvester: Harvester, entry: int, at: datetime) -> bool:
    """Keep that a harvester has applied everything up to an entry, and when it said so.

    Returns whether that is news; to say less than before, or the same again, changes nothing.
    """
    held = Harvester.objects.select_for_update().get(pk=harvester.pk)
    is_news = entry > acknowledged_entry(held)
    if is_news:
        Acknowledgement.objects.create(harvester=held, entry_id=entry, acknowledged_at=at)
    return is_news


def leave(*, harvester: Harvester) -> None:
    """End a harvester's token and forget its contact; what it confirmed is kept."""
    harvester.sha256 = None
    harvester.contact = ""
    harvester.left_after = newest_entry()
    harvester.save(update_fields=["sha256", "contact", "left_after"])
