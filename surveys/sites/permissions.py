"""Give and end a person's permission to show a site where it is."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from surveys.audit.operations import record
from surveys.people.models import Participant
from surveys.protocol.vocabulary import PlaceDetail, PlaceKind
from surveys.sites.models import ExactPermission, Site

_ALLOWING = (PlaceDetail.FINE, PlaceDetail.STANDARD)


class PermissionRefused(Exception):  # noqa: N818 -- reads as what happened
    """A permission that cannot be taken; the message says why."""


@dataclass(frozen=True)
class Term:
    """From a day until before another, and how the permission can be shown."""

    starts_on: date
    ends_on: date
    evidence: str


def may_be_exact(site: Site) -> bool:
    """Tell whether a site may be shown where it is at all.

    A school may not, whoever asks; nor may a site that its owner wants shown coarsely.
    """
    return site.place_kind != PlaceKind.SCHOOL_GROUND and site.place_detail in _ALLOWING


@transaction.atomic
def permit_exact_place(
    *, site: Site, participant: Participant, term: Term, at: datetime, by: str
) -> ExactPermission:
    """Store a person's permission in place of their earlier one for the site.

    Raises
    ------
    PermissionRefused
        If the site may not be shown where it is, or the term is none.
    """
    if not may_be_exact(site):
        msg = "School grounds, and sites to be shown coarsely, are never shown where they are."
        raise PermissionRefused(msg)
    if not term.starts_on < term.ends_on or term.ends_on <= at.date():
        msg = "A permission ends after it starts, and in the future."
        raise PermissionRefused(msg)
    ExactPermission.objects.filter(
        site=site, participant=participant, ended_at__isnull=True
    ).update(ended_at=at)
    permission = ExactPermission.objects.create(
        site=site,
        participant=participant,
        starts_on=term.starts_on,
        ends_on=term.ends_on,
        evidence=term.evidence,
        given_at=at,
    )
    _note(site, "exact place permitted", by, at, participant=participant.code)
    return permission


@transaction.atomic
def end_permissions(*, site: Site, at: datetime, by: str) -> int:
    """End every permission for a site at once; returns how many there were."""
    ended = site.exact_permissions.filter(ended_at__isnull=True).update(ended_at=at)
    if ended:
        _note(site, "exact place no longer permitted", by, at)
    return ended


def _note(site: Site, action: str, by: str, at: datetime, **detail: str) -> None:
    record(
        actor=by, action=action, kind="site", key=f"{site.group.code}/{site.code}", at=at, **detail
    )
