"""Make, veto and end grants; read under one, which always leaves a trace."""

import secrets
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from surveys.audit.operations import record
from surveys.grants.models import GrantField, GrantVeto, ResearchGrant
from surveys.grants.queries import READ, covered_visits
from surveys.people.models import Group, Participant
from surveys.people.operations import TOKEN_BYTES, token_hash
from surveys.visits.models import Visit


class GrantRefused(Exception):  # noqa: N818 -- reads as what happened
    """A grant that cannot be made or changed; the message says why."""


@dataclass(frozen=True)
class Researcher:
    """Who asks; private."""

    name: str
    institution: str
    contact: str


@dataclass(frozen=True)
class Extent:
    """What a grant is for: fields of groups' records, from a day until before another."""

    purpose: str
    fields: Sequence[GrantField]
    groups: Sequence[Group]
    starts_on: date
    ends_on: date


@dataclass(frozen=True)
class SeenPlace:
    """What a researcher sees of a visit; what the grant does not cover is nothing."""

    visit_id: UUID
    latitude: Decimal | None
    longitude: Decimal | None
    uncertainty_m: float | None
    visited_on: date | None


@transaction.atomic
def make_grant(
    *, researcher: Researcher, extent: Extent, at: datetime, by: str
) -> tuple[ResearchGrant, str]:
    """Make a grant; the second value is its token, shown once and never stored.

    Raises
    ------
    GrantRefused
        If it covers nothing, or ends before it starts or in the past.
    """
    if not extent.fields or not extent.groups:
        msg = "A grant names at least one field and one group."
        raise GrantRefused(msg)
    if not extent.starts_on < extent.ends_on or extent.ends_on <= at.date():
        msg = "A grant ends after it starts, and in the future."
        raise GrantRefused(msg)
    prefix = f"drv{secrets.token_hex(3)}"
    secret = f"{prefix}_{secrets.token_urlsafe(TOKEN_BYTES)}"
    grant = ResearchGrant.objects.create(
        researcher=researcher.name,
        institution=researcher.institution,
        contact=researcher.contact,
        purpose=extent.purpose,
        fields=[field.value for field in extent.fields],
        made_at=at,
        author=by,
        starts_on=extent.starts_on,
        ends_on=extent.ends_on,
        prefix=prefix,
        sha256=token_hash(secret),
    )
    grant.groups.set(extent.groups)
    groups = sorted(group.code for group in extent.groups)
    _note(grant, "grant made", by, at, groups=groups, fields=grant.fields)
    return grant, secret


@transaction.atomic
def veto_grant(*, grant: ResearchGrant, group: Group, reason: str, at: datetime) -> GrantVeto:
    """Take a group's records out of a grant, for good; a second veto changes nothing."""
    veto, is_new = GrantVeto.objects.get_or_create(
        grant=grant, group=group, defaults={"reason": reason, "made_at": at}
    )
    if is_new:
        _note(grant, "grant vetoed", f"group {group.code}", at, group=group.code)
    return veto


@transaction.atomic
def end_grant(*, grant: ResearchGrant, at: datetime, by: str) -> None:
    """End a grant at once.

    Raises
    ------
    GrantRefused
        If it was ended before.
    """
    grant = ResearchGrant.objects.select_for_update().get(pk=grant.pk)
    if grant.ended_at is not None:
        msg = "The grant was ended already."
        raise GrantRefused(msg)
    grant.ended_at = at
    grant.save(update_fields=["ended_at"])
    _note(grant, "grant ended", by, at)


@transaction.atomic
def read_places(
    *, grant: ResearchGrant, visit_ids: Collection[UUID], at: datetime
) -> list[SeenPlace]:
    """Return what a grant lets be seen of visits; each read is in the trail before it is given."""
    seen = []
    for visit in covered_visits(grant, visit_ids, at):
        people = {visit.participant, visit.site.owner}
        for person in sorted(people, key=lambda one: one.pk):
            _note_read(grant, visit, person, at)
        seen.append(_seen(grant, visit))
    return seen


def _note_read(grant: ResearchGrant, visit: Visit, person: Participant, at: datetime) -> None:
    record(
        actor=f"grant {grant.prefix}",
        action=READ,
        kind="participant",
        key=f"{person.group.code}/{person.code}",
        at=at,
        grant=str(grant.key),
        fields=list(grant.fields),
        visit=visit.client_ref,
        site=visit.site.code,
    )


def _seen(grant: ResearchGrant, visit: Visit) -> SeenPlace:
    assert visit.public_id is not None  # noqa: S101 -- it was found by it
    site = visit.site if GrantField.EXACT_PLACE in grant.fields else None
    return SeenPlace(
        visit_id=visit.public_id,
        latitude=site.latitude if site else None,
        longitude=site.longitude if site else None,
        uncertainty_m=site.uncertainty_m if site else None,
        visited_on=visit.visited_on if GrantField.DAY in grant.fields else None,
    )


def _note(grant: ResearchGrant, action: str, by: str, at: datetime, **detail: object) -> None:
    record(actor=by, action=action, kind="grant", key=str(grant.key), at=at, **detail)
