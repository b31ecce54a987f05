"""Permission to show a site where it is."""

from datetime import date, timedelta

import pytest

from surveys.audit.models import AuditEntry
from surveys.sites.models import ExactPermission, Site
from surveys.sites.permissions import (
    PermissionRefused,
    Term,
    end_permissions,
    permit_exact_place,
)
from surveys.sites.queries import blurred_neighbours, permitting
from tests.factories.private import NOW, ParticipantFactory, SiteFactory

TERM = Term(NOW.date(), NOW.date() + timedelta(days=365), "paper_form")

pytestmark = pytest.mark.django_db


def permitted(site: Site, term: Term = TERM) -> ExactPermission:
    return permit_exact_place(
        site=site, participant=site.owner, term=term, at=NOW, by=f"group {site.group.code}"
    )


def test_permission_holds_from_its_first_day_until_before_its_last() -> None:
    site = SiteFactory.create(place_kind="farm")
    start = NOW + timedelta(days=10)
    permitted(site, Term(start.date(), start.date() + timedelta(days=5), "spoken"))

    held = [bool(permitting(start + timedelta(days=day))) for day in (-1, 0, 4, 5)]

    assert held == [False, True, True, False]


def test_permission_ended_holds_no_more() -> None:
    site = SiteFactory.create(place_kind="farm")
    permitted(site)
    assert permitting(NOW) == {site.pk: {site.owner_id}}

    ended = end_permissions(site=site, at=NOW + timedelta(hours=1), by="group QVD")

    assert ended == 1
    assert permitting(NOW + timedelta(hours=2)) == {}
    assert permitting(NOW) == {site.pk: {site.owner_id}}, "history stays"
    assert end_permissions(site=site, at=NOW, by="group QVD") == 0
    actions = AuditEntry.objects.filter(subject_kind="site").values_list("action", flat=True)
    assert list(actions) == ["exact place permitted", "exact place no longer permitted"]


def test_later_permission_takes_the_place_of_the_earlier() -> None:
    site = SiteFactory.create(place_kind="farm")
    first, second = permitted(site), permitted(site)

    first.refresh_from_db()

    assert (first.ended_at, second.ended_at) == (NOW, None)


@pytest.mark.parametrize(
    "facts",
    [{"place_kind": "school_ground"}, {"place_detail": "coarse"}, {"place_detail": "region"}],
)
def test_schools_and_sites_wanted_coarse_are_never_exact(facts: dict[str, str]) -> None:
    site = SiteFactory.create(**facts)

    with pytest.raises(PermissionRefused, match="never shown where they are"):
        permitted(site)


@pytest.mark.parametrize(
    ("starts_on", "ends_on"),
    [(date(2030, 1, 2), date(2030, 1, 2)), (date(2020, 1, 1), date(2021, 1, 1))],
)
def test_term_that_is_none_is_refused(starts_on: date, ends_on: date) -> None:
    site = SiteFactory.create(place_kind="farm")

    with pytest.raises(PermissionRefused, match="ends after it starts"):
        permitted(site, Term(starts_on, ends_on, "paper_form"))


def test_blurred_neighbours_are_the_other_sites_of_the_household() -> None:
    owner = ParticipantFactory.create(household="farm-2")
    kin = ParticipantFactory.create(group=owner.group, household="farm-2")
    exact = SiteFactory.create(owner=owner, code="F1", place_kind="farm")
    SiteFactory.create(owner=kin, code="F2", place_kind="farm")
    also_exact = SiteFactory.create(owner=owner, code="F3", place_kind="farm")
    SiteFactory.create(owner=ParticipantFactory.create(group=owner.group), code="F4")
    permitted(exact)
    permitted(also_exact)

    assert [site.code for site in blurred_neighbours(exact, NOW)] == ["F2"]
