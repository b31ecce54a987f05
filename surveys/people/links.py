"""Personal links: how a participant without an account reaches their own page.

A link is a random number under our signature. The number alone says nothing, and only its hash
is kept, so that neither the database nor a guess opens a page.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.core.signing import BadSignature, Signer
from django.db import transaction

from surveys.audit.operations import record
from surveys.people.models import Participant, PersonalLink

PURPOSE = "surveys.people.links"
NONCE_BYTES = 32


@transaction.atomic
def issue_link(
    *, participant: Participant, lifetime: timedelta, at: datetime, by: str
) -> tuple[PersonalLink, str]:
    """Make a participant's link; the second value is its token, shown once and never stored.

    Earlier links of the participant end at once.
    """
    # Two at once would otherwise meet in the index; a consent may still be added meanwhile.
    Participant.objects.select_for_update(no_key=True).get(pk=participant.pk)
    participant.links.filter(revoked_at__isnull=True).update(revoked_at=at)
    nonce = secrets.token_urlsafe(NONCE_BYTES)
    link = PersonalLink.objects.create(
        participant=participant,
        nonce_sha256=_nonce_hash(nonce),
        issued_at=at,
        expires_at=at + lifetime,
    )
    record(
        actor=by,
        action="personal link issued",
        kind="participant",
        key=f"{participant.group.code}/{participant.code}",
        at=at,
        expires_at=link.expires_at.isoformat(),
    )
    return link, _signer().sign(nonce)


def link_of(*, token: str, at: datetime) -> PersonalLink | None:
    """Return the link in force of a token; forged, expired and revoked ones alike give nothing."""
    try:
        nonce = _signer().unsign(token)
    except BadSignature:
        return None
    return (
        PersonalLink.objects.select_related("participant__group")
        .filter(nonce_sha256=_nonce_hash(nonce), revoked_at__isnull=True, expires_at__gt=at)
        .first()
    )


def use_up(*, link: PersonalLink, at: datetime) -> None:
    """Note that everything was withdrawn by a link: from then on it only shows."""
    link.used_at = at
    link.save(update_fields=["used_at"])


def _signer() -> Signer:
    return Signer(salt=PURPOSE, sep=".")


def _nonce_hash(nonce: str) -> str:
    return hashlib.sha256(nonce.encode()).hexdigest()
