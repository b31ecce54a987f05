"""A site is made once and never moved by a later visit."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from surveys.audit.models import AuditEntry
from surveys.people.models import Participant
from surveys.sites.models import Site
from surveys.sites.operations import CorrectedPlace, Placement, correct_site, keep_site
from tests.factories.private import NOW, GroupFactory, ParticipantFactory

pytestmark = pytest.mark.django_db

SENT = Placement(
    code="QVD-07-1",
    latitude=Decimal("52.8812300"),
    longitude=Decimal("-0.7234500"),
    uncertainty_m=5.5,
    placed_by_hand=True,
    place_kind="private_garden",
    place_detail="coarse",
)
MOVED = Placement(
    code="QVD-07-1",
    latitude=Decimal("52.7"),
    longitude=Decimal("-0.5"),
    uncertainty_m=None,
    placed_by_hand=False,
    place_kind="farm",
    place_detail="fine",
)


def keep(owner: Participant, placement: Placement = SENT) -> Site:
    return keep_site(group=owner.group, owner=owner, placement=placement, at=NOW)


def facts(site: Site) -> Placement:
    site.refresh_from_db()
    return Placement(
        code=site.code,
        latitude=site.latitude,
        longitude=site.longitude,
        uncertainty_m=site.uncertainty_m,
        placed_by_hand=site.placed_by_hand,
        place_kind=site.place_kind,
        place_detail=site.place_detail,
    )


def test_new_site_is_kept_as_sent() -> None:
    owner = ParticipantFactory.create()

    site = keep(owner)

    assert facts(site) == SENT
    assert (site.group, site.owner, site.public_id) == (owner.group, owner, None)


def test_known_site_stays_where_and_whose_it_is() -> None:
    group = GroupFactory.create()
    owner, visitor = ParticipantFactory.create_batch(2, group=group)
    site = keep(owner)

    again = keep(visitor, MOVED)

    assert again == site
    assert facts(again) == replace(SENT, place_detail=MOVED.place_detail)
    assert again.owner == owner


def test_two_groups_may_use_one_code_for_two_places() -> None:
    here = keep(ParticipantFactory.create())
    there = keep(ParticipantFactory.create(), MOVED)

    assert here != there
    assert (facts(here), facts(there)) == (SENT, MOVED)


def test_another_wish_is_noted_with_its_instant() -> None:
    owner = ParticipantFactory.create()
    site = keep(owner)
    assert site.place_detail_at is None

    site = keep(owner, MOVED)

    assert site.place_detail_at == NOW
    entry = AuditEntry.objects.get(action="site detail changed")
    assert (entry.at, entry.detail) == (NOW, {"place_detail": MOVED.place_detail})


FINE_ALLOTMENT = replace(SENT, place_kind="allotment", place_detail="fine", placed_by_hand=False)


def corrected(site: Site, **changes: Any) -> bool:
    known = {
        "latitude": site.latitude,
        "longitude": site.longitude,
        "uncertainty_m": site.uncertainty_m,
        "placed_by_hand": site.placed_by_hand,
        "place_kind": site.place_kind,
        "place_detail": site.place_detail,
    }
    return correct_site(site=site, place=CorrectedPlace(**known | changes), at=NOW, by="group QVD")


@pytest.mark.parametrize(
    ("changes", "moved"),
    [
        ({}, False),
        ({"uncertainty_m": 30.0, "placed_by_hand": True}, False),
        ({"place_detail": "coarse"}, False),
        ({"latitude": Decimal("52.7")}, True),
        ({"place_kind": "farm"}, True),
    ],
)
def test_another_position_or_kind_is_another_place(changes: dict[str, Any], *, moved: bool) -> None:
    site = keep(ParticipantFactory.create(), FINE_ALLOTMENT)

    assert corrected(site, **changes) is moved

    site.refresh_from_db()
    assert {name: getattr(site, name) for name in changes} == changes
    entry = AuditEntry.objects.get(action="site corrected")
    assert set(entry.detail["fields"]) == set(changes)
