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
from surveys.people.keys import under_age
from surveys.people.models import Consent, ConsentGiver, Participant, PersonalLink

PURPOSE = "surveys.people.links"
NONCE_BYTES = 32


class NotUnderAge(Exception):  # noqa: N818 -- reads as what happened
    """A guardian acts for people under age only."""


@transaction.atomic
def issue_link(
    *,
    participant: Participant,
    lifetime: timedelta,
    at: datetime,
    by: str,
    held_by: ConsentGiver = ConsentGiver.SELF,
) -> tuple[PersonalLink, str]:
    """Make a link of a participant, or of a guardian; the second value is its token.

    The token is shown once and never stored. Earlier links of the same holder end at once.

    Raises
    ------
    NotUnderAge
        If a guardian would act for somebody who is not under age.
    """
    if held_by == ConsentGiver.GUARDIAN and not _is_under_age(participant, at):
        msg = "The participant is not known to be under age and acts alone."
        raise NotUnderAge(msg)
    # Two at once would otherwise meet in the index; a consent may still be added meanwhile.
    Participant.objects.select_for_update(no_key=True).get(pk=participant.pk)
    earlier = participant.links.filter(held_by=held_by, revoked_at__isnull=True)
    earlier.update(revoked_at=at)
    nonce = secrets.token_urlsafe(NONCE_BYTES)
    link = PersonalLink.objects.create(
        participant=participant,
        held_by=held_by,
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
        held_by=str(held_by),
    )
    return link, _signer().sign(nonce)


def link_of(*, token: str, at: datetime) -> PersonalLink | None:
    """Return the link in force of a token; forged, expired and revoked ones alike give nothing.

    So does a guardian's once the participant is of age.
    """
    try:
        nonce = _signer().unsign(token)
    except BadSignature:
        return None
    link = (
        PersonalLink.objects.select_related("participant__group")
        .filter(nonce_sha256=_nonce_hash(nonce), revoked_at__isnull=True, expires_at__gt=at)
        .first()
    )
    if link is None or link.held_by == ConsentGiver.SELF:
        return link
    return link if _is_under_age(link.participant, at) else None


def use_up(*, link: PersonalLink, at: datetime) -> None:
    """Note that everything was withdrawn by a link: from then on it only shows."""
    link.used_at = at
    link.save(update_fields=["used_at"])


def _is_under_age(participant: Participant, at: datetime) -> bool:
    minors = Participant.objects.filter(under_age(at, Consent.objects, path=""))
    return minors.filter(pk=participant.pk).exists()


def _signer() -> Signer:
    return Signer(salt=PURPOSE, sep=".")


def _nonce_hash(nonce: str) -> str:
    return hashlib.sha256(nonce.encode()).hexdigest()
