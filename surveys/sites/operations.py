"""Keep a site across visits."""

from dataclasses import dataclass
from decimal import Decimal

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


def keep_site(*, group: Group, owner: Participant, placement: Placement) -> Site:
    """Return the group's site of this code, made if new; call inside a transaction.

    A known site keeps its place; how finely it may be shown follows the placement, and holds
    from the next release on.
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
        site.place_detail = placement.place_detail
        site.save(update_fields=["place_detail"])
    return site
