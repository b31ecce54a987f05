"""Keep a site across visits, and correct where it is."""

from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from surveys.audit.operations import record
from surveys.people.models import Group, Participant
from surveys.sites.models import Site


@dataclass(frozen=True)
class Placement:
    """A site as sent, with everything that a new one needs."""

    code: str
    latitude: Decimal
    longitude: Decimal
    uncertainty_m: float | None
    placed_by_hand: bool
    place_kind: str
    place_detail: str


def keep_site(*, group: Group, owner: Participant, placement: Placement, at: datetime) -> Site:
    """Return the group's site of this code, made if new; call inside a transaction.

    A known site keeps its place; how finely it may be shown follows the placement.
    """
    site, made = Site.objects.get_or_create(
        group=group,
        code=placement.code,
        defaults={
            "owner": owner,
            "latitude": placement.latitude,
            "longitude": placement.longitude,
            "uncertainty_m": placement.uncertainty_m,
            "placed_by_hand": placement.placed_by_hand,
            "place_kind": placement.place_kind,
            "place_detail": placement.place_detail,
        },
    )
    if not made and site.place_detail != placement.place_detail:
        site.place_detail, site.place_detail_at = placement.place_detail, at
        site.save(update_fields=["place_detail", "place_detail_at"])
        record(
            actor=f"group {group.code}",
            action="site detail changed",
            kind="site",
            key=f"{group.code}/{site.code}",
            at=at,
            place_detail=placement.place_detail,
        )
    return site


@dataclass(frozen=True)
class CorrectedPlace:
    """What is now known of a site; the finer or coarser wish of its owner included."""

    latitude: Decimal
    longitude: Decimal
    uncertainty_m: float | None
    placed_by_hand: bool
    place_kind: str
    place_detail: str


@transaction.atomic
def correct_site(*, site: Site, place: CorrectedPlace, at: datetime, by: str) -> bool:
    """Store what is now known of a site; returns whether it is another place or kind of place."""
    before = (site.latitude, site.longitude, site.place_kind)
    changed = [name for name, value in asdict(place).items() if getattr(site, name) != value]
    for name in changed:
        setattr(site, name, getattr(place, name))
    site.save(update_fields=changed)
    record(
        actor=by,
        action="site corrected",
        kind="site",
        key=f"{site.group.code}/{site.code}",
        at=at,
        fields=changed,
    )
    return before != (site.latitude, site.longitude, site.place_kind)
