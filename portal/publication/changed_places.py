"""Published places that no longer hold: withdrawn at once, published anew at the next release.

A coarser place, another place or another kind of place counts as a withdrawal and a new site.
Under the old ids a reader who kept an earlier release would carry the finer or the wrong place
over to the new rows, and one group would hold sites that an earlier release told apart. So the
site, its visits and all their parts get other ids.

A finer wish, or permission for the exact place, waits for the release, but then counts the same:
who moves into a group that an earlier release told apart would stand out in it by their ids.
"""

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import F, QuerySet

from portal.blurring import exact_place, homes, is_exact, may_stay
from portal.publication.circumstances import Circumstances, circumstances_at
from portal.publication.minting import forget_ids
from portal.publication.models import SitePlacement
from portal.publication.placing import class_of, opened_cells, private_site
from portal.publication.rule_settings import rules_in_force
from portal.publication.withdrawal import ReasonClass, take_out
from portal.records.operations import hold_feed
from surveys.audit.operations import record
from surveys.people.models import Group
from surveys.sites.models import Site
from surveys.sites.operations import CorrectedPlace, correct_site
from surveys.sites.permissions import end_permissions
from surveys.visits.models import Visit, VisitState


@transaction.atomic
def withdraw_outdated(
    *, sites: QuerySet[Site], reason_class: ReasonClass, at: datetime, by: str
) -> int:
    """Withdraw those sites that may no longer be shown as they are.

    Returns the number of public records withdrawn.
    """
    hold_feed()
    published = sites.filter(public_id__isnull=False)
    placements = SitePlacement.objects.filter(site_id__in=published.values("public_id")).in_bulk()
    circumstances = circumstances_at(at, rules_in_force(at).rules)
    outdated = [
        site
        for site in published.select_related("owner", "group")
        if site.public_id in placements
        and not _still_holds(site, placements[site.public_id], circumstances)
    ]
    return _withdraw(outdated, reason_class, at=at, by=by)


def withdraw_coarsened(*, group: Group, since: datetime) -> int:
    """Withdraw what is shown more finely than a group has asked for since an instant.

    Call it after the transaction that took the wish in: intake must not wait for a release.

    Returns the number of public records withdrawn.
    """
    sites = group.sites.filter(place_detail_at__gte=since)
    if not sites.exists():
        return 0
    return withdraw_outdated(
        sites=sites,
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=since,
        by=f"group {group.code}",
    )


@transaction.atomic
def withdraw_moving(*, at: datetime, by: str) -> int:
    """Withdraw what a release at this instant would show under another limit than before.

    Returns the number of public records withdrawn.
    """
    hold_feed()
    circumstances = circumstances_at(at, rules_in_force(at).rules)
    published = Site.objects.filter(public_id__isnull=False).select_related("owner", "group")
    placements = SitePlacement.objects.in_bulk()
    placed = [site for site in published if site.public_id in placements]
    blurred = [site for site in placed if not circumstances.is_exact(site)]
    told = (private_site(site, circumstances) for site in blurred)
    would_be = homes(told, opened_cells(), circumstances.rules)
    moving = []
    for site in placed:
        placement = placements[site.public_id]
        if not _still_holds(site, placement, circumstances) or (
            not is_exact(placement.cell) and would_be.get(str(site.pk)) != placement.cell
        ):
            moving.append(site)
    return _withdraw(moving, ReasonClass.PLACE_PROTECTED, at=at, by=by)


@transaction.atomic
def end_exact_place(*, site: Site, at: datetime, by: str) -> int:
    """End every permission for a site; its rows go, and come back blurred at the next release.

    Returns the number of public records withdrawn.
    """
    hold_feed()
    end_permissions(site=site, at=at, by=by)
    return withdraw_outdated(
        sites=Site.objects.filter(pk=site.pk),
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=at,
        by=by,
    )


@transaction.atomic
def correct_place(*, site: Site, place: CorrectedPlace, at: datetime, by: str) -> int:
    """Correct where or what a site is; another place or kind is published anew.

    Returns the number of public records withdrawn.
    """
    hold_feed()
    if correct_site(site=site, place=place, at=at, by=by):
        return _withdraw([site], ReasonClass.SENDER_ERROR, at=at, by=by)
    return withdraw_outdated(
        sites=Site.objects.filter(pk=site.pk),
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=at,
        by=by,
    )


def _still_holds(site: Site, placement: SitePlacement, circumstances: Circumstances) -> bool:
    told = private_site(site, circumstances)
    if class_of(site) != placement.place_class:
        return False
    if is_exact(placement.cell):
        here = exact_place(told, circumstances.rules).cell
        return circumstances.is_exact(site) and here == placement.cell
    return may_stay(told, placement.cell, circumstances.rules)


def _withdraw(sites: Collection[Site], reason_class: ReasonClass, *, at: datetime, by: str) -> int:
    visits = Visit.objects.filter(site__in=sites).exclude(state=VisitState.WITHDRAWN)
    withdrawn = take_out(_public_ids(visits), reason_class, at=at)
    if not withdrawn:
        return 0
    forget_ids(visits)
    Site.objects.filter(pk__in=[site.pk for site in sites]).update(
        public_id=None, place_number=F("place_number") + 1
    )
    for site in sites:
        key = f"{site.group.code}/{site.code}"
        record(
            actor=by,
            action="public place withdrawn",
            kind="site",
            key=key,
            at=at,
            reason=str(reason_class),
        )
    return withdrawn


def _public_ids(visits: QuerySet[Visit]) -> list[UUID]:
    found = visits.filter(public_id__isnull=False).values_list("public_id", flat=True)
    return [public_id for public_id in found if public_id is not None]
