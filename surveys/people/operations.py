"""Register groups and participants, record consent, issue and check tokens."""

import hashlib
import secrets
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from surveys.audit.operations import record
from surveys.people.models import (
    AccessToken,
    Consent,
    ConsentDecision,
    ConsentGiver,
    ConsentPurpose,
    Group,
    Participant,
    Reviewer,
)

TOKEN_BYTES = 32
LAST_USED_STEP = timedelta(minutes=5)


@transaction.atomic
def register_group(
    *,
    code: str,
    name: str,
    named_publicly: bool,
    box: tuple[Decimal, Decimal, Decimal, Decimal],
    meeting_point: tuple[Decimal, Decimal] | None = None,
    at: datetime,
) -> Group:
    """Register a partner group; ``box`` is west, south, east, north in degrees."""
    west, south, east, north = box
    latitude, longitude = meeting_point or (None, None)
    group = Group.objects.create(
        code=code,
        name=name,
        named_publicly=named_publicly,
        west=west,
        south=south,
        east=east,
        north=north,
        meeting_latitude=latitude,
        meeting_longitude=longitude,
    )
    record(actor="office", action="group registered", kind="group", key=code, at=at)
    return group


@transaction.atomic
def register_participant(
    *,
    group: Group,
    code: str,
    household: str,
    at: datetime,
    born_on: date | None = None,
    name: str = "",
) -> Participant:
    """Register a participant, or return the one whom the group already knows by this code."""
    participant, made = Participant.objects.get_or_create(
        group=group,
        code=code,
        defaults={"household": household, "born_on": born_on, "name": name, "joined_at": at},
    )
    if made:
        record(
            actor=f"group {group.code}",
            action="participant registered",
            kind="participant",
            key=f"{group.code}/{code}",
            at=at,
        )
    return participant


@transaction.atomic
def record_consent(  # noqa: PLR0913 -- an answer has this many facts
    *,
    participant: Participant,
    purpose: ConsentPurpose | str,
    decision: ConsentDecision | str,
    given_by: ConsentGiver | str,
    statement_version: str,
    at: datetime,
    ends_on: date | None = None,
) -> Consent:
    """Add one answer to a participant's consent history."""
    consent = Consent.objects.create(
        participant=participant,
        purpose=purpose,
        decision=decision,
        given_by=given_by,
        statement_version=statement_version,
        decided_at=at,
        ends_on=ends_on,
    )
    record(
        actor=str(given_by),
        action=f"consent {decision}",
        kind="participant",
        key=f"{participant.group.code}/{participant.code}",
        at=at,
        purpose=str(purpose),
        statement_version=statement_version,
    )
    return consent


@transaction.atomic
def issue_token(
    *,
    holder: Group | Reviewer,
    name: str,
    scopes: Sequence[str],
    at: datetime,
    lifetime_days: int = 365,
) -> tuple[AccessToken, str]:
    """Issue a token; the second value is the secret, shown once and never stored.

    Raises
    ------
    ValueError
        If a scope is unknown.
    """
    unknown = sorted(set(scopes) - set(AccessToken.SCOPES))
    if unknown:
        msg = f"Unknown scopes {unknown}; known are {list(AccessToken.SCOPES)}."
        raise ValueError(msg)
    prefix = f"dri{secrets.token_hex(3)}"
    secret = f"{prefix}_{secrets.token_urlsafe(TOKEN_BYTES)}"
    token = AccessToken.objects.create(
        group=holder if isinstance(holder, Group) else None,
        reviewer=holder if isinstance(holder, Reviewer) else None,
        name=name,
        prefix=prefix,
        sha256=token_hash(secret),
        scopes=list(scopes),
        created_at=at,
        expires_at=at + timedelta(days=lifetime_days),
    )
    record(
        actor="office", action="token issued", kind="token", key=prefix, at=at, scopes=list(scopes)
    )
    return token, secret


def token_hash(secret: str) -> str:
    """Return what is stored of a token; 256 random bits need no slow hash."""
    return hashlib.sha256(secret.encode()).hexdigest()


def use_token(*, secret: str, at: datetime) -> AccessToken | None:
    """Return the live token of a secret, noting that it was used, or nothing."""
    token = (
        AccessToken.objects.select_related("group", "reviewer", "reviewer__participant")
        .filter(sha256=token_hash(secret), revoked_at__isnull=True, expires_at__gt=at)
        .first()
    )
    if token is None:
        return None
    if token.last_used_at is None or at - token.last_used_at > LAST_USED_STEP:
        AccessToken.objects.filter(pk=token.pk).update(last_used_at=at)
    return token


@transaction.atomic
def revoke_token(*, token: AccessToken, at: datetime) -> None:
    """End a token at once."""
    token.revoked_at = at
    token.save(update_fields=["revoked_at"])
    record(actor="office", action="token revoked", kind="token", key=token.prefix, at=at)
