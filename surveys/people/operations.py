"""Register groups and participants, record consent, issue and check tokens."""

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction

from surveys.audit.operations import record
from surveys.people.ages import completed_on
from surveys.people.keys import day_of
from surveys.people.models import (
    AccessToken,
    Consent,
    ConsentDecision,
    ConsentEvidence,
    ConsentGiver,
    ConsentPurpose,
    ConsentStatement,
    Group,
    Participant,
    Reviewer,
)
from surveys.people.receipts import receipt_of

TOKEN_BYTES = 32
SALT_BYTES = 16
LAST_USED_STEP = timedelta(minutes=5)


class AnswerNotTaken(Exception):  # noqa: N818 -- reads as what happened
    """A yes that can't count; ``code`` is that of the fault, ``field`` the part of the answer."""

    def __init__(self, code: str, field: str, message: str, consent: Consent) -> None:
        super().__init__(message)
        self.code = code
        self.field = field
        self.consent = consent


@dataclass(frozen=True)
class HowAnswered:
    """How an answer was given: which guardian, in which language, and what shows it later."""

    giver: str = ""
    language: str = ""
    evidence: ConsentEvidence | str = ""
    evidence_ref: str = ""


UNSAID = HowAnswered()


@transaction.atomic
def register_group(  # noqa: PLR0913 -- a group has this many facts
    *,
    code: str,
    name: str,
    named_publicly: bool,
    box: tuple[Decimal, Decimal, Decimal, Decimal],
    meeting_point: tuple[Decimal, Decimal] | None = None,
    is_of_children: bool = False,
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
        is_of_children=is_of_children,
    )
    record(actor="office", action="group registered", kind="group", key=code, at=at)
    return group


def hold_group(group: Group) -> None:
    """Let one sender of a group write at a time, to the end of the transaction.

    Two batches sent at once may name the same visits and new sites, in any order.
    """
    Group.objects.select_for_update(no_key=True).get(pk=group.pk)


@transaction.atomic
def register_participant(  # noqa: PLR0913 -- a person has this many facts
    *,
    group: Group,
    code: str,
    household: str,
    at: datetime,
    born_on: date | None = None,
    of_age_by: date | None = None,
    name: str = "",
) -> Participant:
    """Register a participant, or return the one whom the group already knows by this code."""
    participant, made = Participant.objects.get_or_create(
        group=group,
        code=code,
        defaults={
            "household": household,
            "born_on": born_on,
            "of_age_by": of_age_by,
            "name": name,
            "joined_at": at,
        },
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
def describe_participant(*, participant: Participant, at: datetime, **facts: Any) -> None:
    """Keep what a group says of a participant: birthday, vouching, name to show, ORCID iD.

    A birthday takes the place of vouching, and the other way round.
    """
    if facts.get("born_on"):
        facts = facts | {"of_age_by": None}
    elif facts.get("of_age_by"):
        facts = facts | {"born_on": None}
    changed = sorted(name for name in facts if getattr(participant, name) != facts[name])
    if not changed:
        return
    for name in changed:
        setattr(participant, name, facts[name])
    participant.save(update_fields=changed)
    record(
        actor=f"group {participant.group.code}",
        action="participant described",
        kind="participant",
        key=f"{participant.group.code}/{participant.code}",
        at=at,
        fields=changed,
    )


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
    how: HowAnswered = UNSAID,
) -> Consent:
    """Add one answer to a participant's consent history.

    A no is taken as it comes; a yes must be one to known words, by somebody who may say it.

    Raises
    ------
    AnswerNotTaken
        If a yes can't count.
    """
    consent = Consent(
        participant=participant,
        purpose=purpose,
        decision=decision,
        given_by=given_by,
        giver=how.giver,
        statement_version=statement_version,
        language=how.language,
        evidence=how.evidence,
        evidence_ref=how.evidence_ref,
        decided_at=at,
        ends_on=ends_on,
        receipt_salt=secrets.token_hex(SALT_BYTES),
    )
    if decision == ConsentDecision.GIVEN:
        _require_known_words(consent)
        _require_right_giver(consent)
    consent.receipt_sha256 = receipt_of(consent)["sha256"]
    consent.save()
    record(
        actor=str(given_by),
        action=f"consent {decision}",
        kind="participant",
        key=f"{participant.group.code}/{participant.code}",
        at=at,
        purpose=str(purpose),
        statement_version=statement_version,
        receipt_sha256=consent.receipt_sha256,
    )
    return consent


def _require_known_words(consent: Consent) -> None:
    asked = ConsentStatement.objects.filter(
        purpose=consent.purpose,
        version=consent.statement_version,
        valid_from__lte=day_of(consent.decided_at),
    ).first()
    if asked is None:
        code, field = "statement-unknown", "statement_version"
        raise AnswerNotTaken(code, field, "No such statement was in use on that day.", consent)
    if consent.language and consent.language not in asked.texts:
        code, field = "statement-unknown", "language"
        raise AnswerNotTaken(code, field, "The statement is not there in this language.", consent)


def _require_right_giver(consent: Consent) -> None:
    day, person = day_of(consent.decided_at), consent.participant
    by_guardian = consent.given_by == ConsentGiver.GUARDIAN
    if by_guardian and _is_known_of_age(person, day):
        code, field = "guardian-of-adult", "given_by"
        raise AnswerNotTaken(code, field, "The participant is of age and answers alone.", consent)
    online = consent.evidence == ConsentEvidence.ONLINE_PAGE
    if online and not by_guardian and _is_too_young_online(person, day):
        code, field = "too-young-online", "evidence"
        raise AnswerNotTaken(code, field, "So young a participant doesn't answer online.", consent)


def _is_known_of_age(person: Participant, day: date) -> bool:
    if person.born_on is not None:
        return completed_on(person.born_on, settings.AGE_OF_MAJORITY) <= day
    return person.of_age_by is not None and person.of_age_by <= day


def _is_too_young_online(person: Participant, day: date) -> bool:
    if person.born_on is not None:
        return completed_on(person.born_on, settings.AGE_OF_ONLINE_CONSENT) > day
    return person.group.is_of_children and not _is_known_of_age(person, day)


@transaction.atomic
def issue_token(
    *,
    holder: Group | Reviewer,
    name: str,
    scopes: Sequence[str],
    at: datetime,
    lifetime_days: int = 365,
    by: str = "office",
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
    record(actor=by, action="token issued", kind="token", key=prefix, at=at, scopes=list(scopes))
    return token, secret


def token_hash(secret: str) -> str:
    """Return what is stored of a token; 256 random bits need no slow hash."""
    return hashlib.sha256(secret.encode()).hexdigest()


def use_token(*, secret: str, at: datetime) -> AccessToken | None:
    """Return the live token of a secret, noting that it was used, or nothing."""
    token = (
        AccessToken.objects.select_related(
            "group__practice_of", "reviewer", "reviewer__participant"
        )
        .filter(sha256=token_hash(secret), revoked_at__isnull=True, expires_at__gt=at)
        .first()
    )
    if token is None:
        return None
    if token.last_used_at is None or at - token.last_used_at > LAST_USED_STEP:
        AccessToken.objects.filter(pk=token.pk).update(last_used_at=at)
    return token


@transaction.atomic
def revoke_token(*, token: AccessToken, at: datetime, by: str = "office") -> None:
    """End a token at once."""
    token.revoked_at = at
    token.save(update_fields=["revoked_at"])
    record(actor=by, action="token revoked", kind="token", key=token.prefix, at=at)
