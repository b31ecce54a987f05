"""Whose place a site is, and what the blurring is told of it."""

from decimal import Decimal

import pytest

from portal.blurring import GeneralisationRules
from portal.publication.circumstances import Circumstances
from portal.publication.placing import (
    class_of,
    opened_cells,
    place_sites,
    private_site,
    unit_of,
)
from surveys.sites.models import Site
from tests.factories.private import GroupFactory, ParticipantFactory, SiteFactory
from tests.portal.publication.villages import CELL, release, village, village_group

pytestmark = pytest.mark.django_db


def site_of(household: str, kind: str = "private_garden", group: str = "QVD") -> Site:
    owner = ParticipantFactory.create(group=GroupFactory.create(code=group), household=household)
    made: Site = SiteFactory.create(owner=owner, place_kind=kind)
    return made


def second_site(first: Site, kind: str) -> Site:
    made: Site = SiteFactory.create(
        owner=ParticipantFactory.create(group=first.group, household=first.owner.household),
        place_kind=kind,
    )
    return made


@pytest.mark.parametrize("kind", ["private_garden", "allotment", "farm", "other"])
def test_sites_of_one_household_are_one_unit(kind: str) -> None:
    garden = site_of("house-1")

    assert unit_of(second_site(garden, kind)) == unit_of(garden)
    assert unit_of(site_of("house-2", group="B")) != unit_of(garden)
    assert unit_of(site_of("house-1", group="C")) != unit_of(garden), "codes are a group's own"


@pytest.mark.parametrize("kind", ["school_ground", "public_green", "reserve"])
def test_institution_behind_a_group_is_one_unit(kind: str) -> None:
    first = site_of("class 3a", kind)
    other_class = SiteFactory.create(
        owner=ParticipantFactory.create(group=first.group, household="class 4b"), place_kind=kind
    )

    assert unit_of(other_class) == unit_of(first)
    assert unit_of(site_of("class 3a", kind, group="B")) != unit_of(first)


def test_blurring_is_told_position_kind_and_consent_and_no_name() -> None:
    site = site_of("house-1")

    told = private_site(site, Circumstances(GeneralisationRules(), {site.pk: 3}))

    assert (told.latitude, told.longitude) == (Decimal("52.8812345"), Decimal("-0.7234567"))
    assert (told.place_kind, told.consent_level, told.uncertainty_m) == (
        "private_garden",
        "standard",
        5.0,
    )
    assert told.taxon_category == 3
    assert class_of(site) == "household"


def test_stricter_consent_of_a_site_gives_a_coarser_cell() -> None:
    group = village_group()
    village(group, range(5), site={"place_detail": "region"})

    placed = place_sites(Site.objects.all(), Circumstances(GeneralisationRules()))

    assert {place.cell for place in placed.places.values()} == {"1|52|-1"}


def test_opened_cells_are_kept_once_with_the_release_that_opened_them() -> None:
    village(village_group(), range(5))

    for number in (1, 2):
        release(number)

    assert CELL in opened_cells()["household"]
    assert len(opened_cells()["household"]) == len(set(opened_cells()["household"]))
