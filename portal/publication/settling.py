"""What stood beside rows in good company, and has too little of it left: taken off at once.

A code of a group, a name and a rare word are judged before a release writes them. A withdrawal may
leave too few beside them, in any release; what is taken off in one of them goes from all versions
of the rows of those sites, for records can be followed through releases by their ids.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Q

from portal.blurring import GeneralisationRules, is_exact
from portal.blurring.company import PlaceGroup, thin_places, too_few_unnamed
from portal.publication.beside import Beside
from portal.publication.models import SitePlacement
from portal.publication.rewording import reword
from portal.publication.sight import take_group_codes_off, take_names_off
from portal.publication.versions import Span, releases_in
from portal.publication.wording import Holding, wordings
from portal.records.models import ChangeEntry, PublishedPit, PublishedVisit, Release
from portal.records.queries import current_release

Sites = Mapping[PlaceGroup, set[UUID]]


@dataclass(frozen=True)
class _Neighbour:
    """A shown visit, and whose place it is."""

    site_id: UUID
    place_group: PlaceGroup
    unit: str
    group_code: str | None
    is_named: bool


def settle(spans: set[Span], entry: ChangeEntry) -> set[Span]:
    """Take off what has too little company in releases that changed.

    Returns the spans of releases that the rows stood in.
    """
    newest = current_release()
    if newest is None:
        return set()
    rules = GeneralisationRules.from_dict(newest.rules)
    told, waiting = set[Span](), spans
    while waiting:  # what is taken off in one release may leave too little in another
        found = (_settle_release(release, rules, entry) for release in releases_in(waiting))
        waiting = set().union(*found)
        told |= waiting
    return told


def take_back(beside: Beside, entry: ChangeEntry) -> set[Span]:
    """Take off older versions of rows what may not stand beside the newest of the same sites.

    Returns the spans of releases that the rows stood in.
    """
    newest = current_release()
    if newest is None:
        return set()
    neighbours = list(_neighbours(newest))
    sites = _by_place(neighbours)
    spans = _unname(beside.unnamed, sites, entry)
    for place_group, wording in beside.wordings.items():
        spans |= reword(sites.get(place_group, set()), wording, entry)
    return spans


def _settle_release(release: Release, rules: GeneralisationRules, entry: ChangeEntry) -> set[Span]:
    neighbours = list(_neighbours(release))
    sites = _by_place(neighbours)
    spans: set[Span] = set()
    owned = ((one.group_code, one.place_group, one.unit) for one in neighbours if one.group_code)
    thin = thin_places(owned, rules.keep_at)
    if thin:
        spans |= take_group_codes_off(Q(group_code__in=thin), entry)
    named = ((one.place_group, one.unit, one.is_named) for one in neighbours)
    spans |= _unname(too_few_unnamed(named, rules.units_to_show), sites, entry)
    for place_group, wording in wordings(_held(release, neighbours), rules).items():
        spans |= reword(sites[place_group], wording, entry)
    return spans


def _unname(places: Iterable[PlaceGroup], sites: Sites, entry: ChangeEntry) -> set[Span]:
    of_them = set().union(*(sites.get(place_group, set()) for place_group in places))
    return take_names_off(Q(site_id__in=of_them), entry) if of_them else set()


def _neighbours(release: Release) -> Iterator[_Neighbour]:
    """Yield the shown visits of a release whose place is that of a group."""
    placements = SitePlacement.objects.in_bulk()
    columns = ("site_id", "cell", "group_code", "recorded_by")
    for site_id, cell, code, name in (
        PublishedVisit.objects.at(release.number).values_list(*columns).iterator()
    ):
        if site_id in placements and not is_exact(cell):
            placed = placements[site_id]
            yield _Neighbour(site_id, (placed.place_class, cell), placed.unit, code, bool(name))


def _by_place(neighbours: Iterable[_Neighbour]) -> Sites:
    sites: dict[PlaceGroup, set[UUID]] = {}
    for one in neighbours:
        sites.setdefault(one.place_group, set()).add(one.site_id)
    return sites


def _held(release: Release, neighbours: Iterable[_Neighbour]) -> Iterator[Holding]:
    whose = {one.site_id: one for one in neighbours}
    pits: Iterable[tuple[Any, ...]] = PublishedPit.objects.at(release.number).values_list(
        "site_id", "habitat", "management"
    )
    for site_id, habitat, management in pits:
        if site_id in whose:
            one = whose[site_id]
            yield one.place_group, one.unit, "habitat", [habitat]
            yield one.place_group, one.unit, "management", management or []
