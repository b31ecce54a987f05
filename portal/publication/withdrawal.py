"""Withdrawal: effective at once in every release, with a tombstone left behind."""

from collections.abc import Collection, Iterable
from datetime import datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max, Min, Q, QuerySet

from portal.blurring import GeneralisationRules, is_exact
from portal.publication.credits import credit_groups
from portal.publication.files import build_files, retire_files
from portal.publication.models import SitePlacement
from portal.publication.settling import settle
from portal.publication.sight import hide
from portal.publication.versions import Span, releases_in, spans_of
from portal.records.changes import TABLE_OF
from portal.records.models import ChangeEntry, HidingNote, PublishedVisit, Tombstone
from portal.records.operations import add_entry, hold_feed
from portal.records.queries import current_release
from surveys.audit.operations import record
from surveys.people.models import ConsentDecision, ConsentGiver, ConsentPurpose, Participant
from surveys.people.operations import UNSAID, HowAnswered, record_consent
from surveys.photos.operations import remove_photos_of
from surveys.visits.models import Visit, VisitState


class ReasonClass(StrEnum):
    """Why a record left, in words that give nobody away."""

    CONSENT_WITHDRAWN = "consent_withdrawn"
    ERASURE = "erasure"
    SENDER_ERROR = "sender_error"
    DOUBLE = "double"
    PLACE_PROTECTED = "place_protected"


@transaction.atomic
def withdraw_participant(
    *,
    participant: Participant,
    reason_class: ReasonClass,
    at: datetime,
    by: str,
    asked_by: ConsentGiver = ConsentGiver.SELF,
    how: HowAnswered = UNSAID,
) -> int:
    """End a participant's consent to publication and take all their records out.

    The no is kept as that of who asked: the person, or a guardian of a child.

    Returns the number of public records withdrawn.
    """
    hold_feed()
    record_consent(
        participant=participant,
        purpose=ConsentPurpose.PUBLISH,
        decision=ConsentDecision.WITHDRAWN,
        given_by=asked_by,
        statement_version="withdrawal",
        at=at,
        how=how,
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
    hold_feed()
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
    remove_photos_of(visits, by=by, at=at)
    keys = [visit.pk for visit in visits]
    # Asked anew: a release that was being made may have given them their ids.
    found = Visit.objects.filter(pk__in=keys).values_list("public_id", flat=True)
    public_ids = [public_id for public_id in found if public_id is not None]
    return take_out(public_ids, reason_class, at=at)


def take_out(public_ids: Collection[UUID], reason_class: ReasonClass, *, at: datetime) -> int:
    """Take the rows of published visits out of every release; call inside a transaction.

    Returns the number of public records withdrawn.
    """
    if not PublishedVisit.objects.filter(id__in=public_ids).exists():
        return 0
    entry = add_entry(at=at)
    withdrawn, spans = 0, set[Span]()
    for kind, table in TABLE_OF.items():
        rows = table.objects.filter(visit_id__in=public_ids)
        spans |= spans_of(rows)
        withdrawn += _bury(kind, rows, reason_class, entry)
    settle_and_rebuild(spans, entry, at=at)
    return withdrawn


def settle_and_rebuild(spans: set[Span], entry: ChangeEntry, *, at: datetime) -> None:
    """Protect who is left where rows went out of sight, and build files anew.

    Sites that too few share are hidden; what too few hold goes off the rows of the others.
    """
    spans = spans | hide(Q(site_id__in=_sites_in_small_groups()), entry)
    rebuild(spans | settle(spans, entry), at=at)


def rebuild(spans: set[Span], *, at: datetime) -> None:
    """Build the files of releases anew, and make the old ones unavailable at once."""
    for release in releases_in(spans):
        retire_files(release, at=at)
        credit_groups(release)
        build_files(release, at=at)


def _bury(kind: str, rows: QuerySet[Any], reason_class: ReasonClass, entry: ChangeEntry) -> int:
    newest = current_release()
    lives = rows.values("id").annotate(
        first=Min("since_release"),
        last=Max("until_release"),
        still=Min("row", filter=Q(until_release__isnull=True)),
    )
    stones = [
        Tombstone(
            id=life["id"],
            kind=kind,
            withdrawn_on=entry.at.date(),
            reason_class=reason_class,
            first_release=life["first"],
            last_release=newest.number if newest and life["still"] else life["last"] - 1,
            entry=entry,
        )
        for life in lives
    ]
    Tombstone.objects.bulk_create(stones)
    HidingNote.objects.filter(record__in=rows.values("id")).delete()
    rows.delete()
    return len(stones)


def _sites_in_small_groups() -> set[UUID]:
    """Return the sites whose group fell below k, and forget those that stand nowhere any more."""
    newest = current_release()
    rules = GeneralisationRules.from_dict(newest.rules) if newest else GeneralisationRules()
    standing = set(PublishedVisit.objects.values_list("site_id", flat=True))
    SitePlacement.objects.exclude(site_id__in=standing).delete()
    seen = PublishedVisit.objects.filter(hidden=False)
    live = set(seen.current().values_list("site_id", flat=True))
    placements = list(SitePlacement.objects.filter(site_id__in=seen.values("site_id")))
    # Sites of the current release must be enough by themselves; those that stand only in earlier
    # ones may hide among all.
    small = _in_small_groups([one for one in placements if one.site_id in live], rules)
    return small | (_in_small_groups(placements, rules) - live)


def _in_small_groups(placements: list[SitePlacement], rules: GeneralisationRules) -> set[UUID]:
    groups: dict[tuple[str, str], list[SitePlacement]] = {}
    for placement in placements:
        if is_exact(placement.cell):  # shown by permission, whoever else is there
            continue
        groups.setdefault((placement.place_class, placement.cell), []).append(placement)
    return {
        placement.site_id
        for (place_class, _), members in groups.items()
        if len({member.unit for member in members}) < rules.units_to_show(place_class)
        for placement in members
    }
