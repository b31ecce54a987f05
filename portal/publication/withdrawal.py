"""Withdrawal: effective at once in every release, with a tombstone left behind."""

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum
from uuid import UUID

from django.db import transaction
from django.db.models import Max, Min, Q

from portal.blurring import GeneralisationRules
from portal.publication.files import build_files, retire_files
from portal.publication.models import SitePlacement
from portal.publication.versions import Table
from portal.records.models import (
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    Tombstone,
)
from surveys.audit.operations import record
from surveys.people.models import ConsentDecision, ConsentPurpose, Participant
from surveys.people.operations import record_consent
from surveys.visits.models import Visit, VisitState

TABLES: dict[str, Table] = {
    "visit": PublishedVisit,
    "pit": PublishedPit,
    "occurrence": PublishedCount,
}


class ReasonClass(StrEnum):
    """Why a record left, in words that give nobody away."""

    CONSENT_WITHDRAWN = "consent_withdrawn"
    ERASURE = "erasure"
    SENDER_ERROR = "sender_error"
    DOUBLE = "double"


@transaction.atomic
def withdraw_participant(
    *, participant: Participant, reason_class: ReasonClass, at: datetime, by: str
) -> int:
    """End a participant's consent to publication and take all their records out.

    Returns the number of public records withdrawn.
    """
    record_consent(
        participant=participant,
        purpose=ConsentPurpose.PUBLISH,
        decision=ConsentDecision.WITHDRAWN,
        given_by="self",
        statement_version="withdrawal",
        at=at,
    )
    return withdraw_visits(visits=participant.visits.all(), reason_class=reason_class, at=at, by=by)


@transaction.atomic
def withdraw_visits(
    *, visits: Iterable[Visit], reason_class: ReasonClass, at: datetime, by: str
) -> int:
    """Take visits out of every release and of the way to the next one.

    The rows go, tombstones stay, old files go at once and stand again under a new address
    without the rows. Sites left in too small a group are hidden in the same transaction.

    Returns the number of public records withdrawn.
    """
    visits = list(visits)
    Visit.objects.filter(pk__in=[visit.pk for visit in visits]).update(state=VisitState.WITHDRAWN)
    for visit in visits:
        record(
            actor=by,
            action="visit withdrawn",
            kind="visit",
            key=f"{visit.group.code}/{visit.client_ref}",
            at=at,
            reason=str(reason_class),
        )
    public_ids = [visit.public_id for visit in visits if visit.public_id is not None]
    first = PublishedVisit.objects.filter(id__in=public_ids).aggregate(n=Min("since_release"))["n"]
    if first is None:
        return 0
    withdrawn = sum(_bury(kind, public_ids, reason_class, at) for kind in TABLES)
    hidden_from = _hide_small_groups()
    _rebuild(min(first, hidden_from or first), at)
    return withdrawn


def _bury(kind: str, visit_ids: list[UUID], reason_class: ReasonClass, at: datetime) -> int:
    rows = TABLES[kind].objects.filter(visit_id__in=visit_ids)
    newest = Release.objects.order_by("-number").values_list("number", flat=True)[0]
    lives = rows.values("id").annotate(
        first=Min("since_release"),
        last=Max("until_release"),
        still=Min("row", filter=Q(until_release__isnull=True)),
    )
    stones = [
        Tombstone(
            id=life["id"],
            kind=kind,
            withdrawn_on=at.date(),
            reason_class=reason_class,
            first_release=life["first"],
            last_release=newest if life["still"] else life["last"] - 1,
        )
        for life in lives
    ]
    Tombstone.objects.bulk_create(stones)
    rows.delete()
    return len(stones)


def _hide_small_groups() -> int | None:
    """Hide the rows of groups that fell below k; returns the first release they stood in."""
    newest = Release.objects.order_by("-number").first()
    rules = GeneralisationRules.from_dict(newest.rules) if newest else GeneralisationRules()
    standing = set(PublishedVisit.objects.values_list("site_id", flat=True))
    SitePlacement.objects.exclude(site_id__in=standing).delete()
    live = set(PublishedVisit.objects.current().values_list("site_id", flat=True))
    placements = list(SitePlacement.objects.all())
    # Sites of the current release must be enough by themselves; those that stand only in earlier
    # ones may hide among all.
    small = _in_small_groups([one for one in placements if one.site_id in live], rules)
    small |= _in_small_groups(placements, rules) - live
    first = None
    for table in TABLES.values():
        rows = table.objects.filter(site_id__in=small, hidden=False)
        since = rows.aggregate(n=Min("since_release"))["n"]
        first = min(first or since, since) if since is not None else first
        rows.update(hidden=True)
    return first


def _in_small_groups(placements: list[SitePlacement], rules: GeneralisationRules) -> set[UUID]:
    groups: dict[tuple[str, str], list[SitePlacement]] = {}
    for placement in placements:
        groups.setdefault((placement.place_class, placement.cell), []).append(placement)
    return {
        placement.site_id
        for (place_class, _), members in groups.items()
        if len({member.unit for member in members}) < rules.units_to_show(place_class)
        for placement in members
    }


def _rebuild(first: int, at: datetime) -> None:
    for release in Release.objects.filter(number__gte=first):
        retire_files(release, at=at)
        build_files(release, at=at)
