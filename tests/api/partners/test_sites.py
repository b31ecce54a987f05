"""A group corrects its sites, and says which may be shown where they are."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from portal.publication.operations import make_release
from portal.records.models import PublishedVisit, Tombstone
from surveys.audit.models import AuditEntry
from surveys.people.models import Group
from surveys.sites.models import Site
from tests.api.holders import ALL_OF_A_GROUP, holder_of, visit_of
from tests.api.partners.conftest import Partner
from tests.journeys.actors import Actor
from tests.portal.publication.villages import village, village_group

SITES = "/api/v1/partner/sites"
FARM = {"place_kind": "farm", "place_detail": "fine"}

pytestmark = pytest.mark.django_db


def term(participant: str = "P00", **changes: Any) -> dict[str, Any]:
    today = timezone.now().date()
    return {
        "participant": participant,
        "starts_on": today.isoformat(),
        "ends_on": (today + timedelta(days=365)).isoformat(),
        "evidence": "paper_form",
    } | changes


@pytest.fixture
def ring() -> tuple[Group, Actor]:
    """Return a group of farms, three of them published, and its caller."""
    group = village_group()
    village(group, range(6), site=FARM)
    return group, holder_of(group, *ALL_OF_A_GROUP)


def released() -> None:
    make_release(at=timezone.now(), by="test")


def places(site: str) -> set[str]:
    public_id = Site.objects.get(code=site).public_id
    rows = PublishedVisit.objects.current().filter(hidden=False, site_id=public_id)
    return set(rows.values_list("cell", flat=True))


def test_permission_shows_a_site_exactly_until_it_is_ended(ring: tuple[Group, Actor]) -> None:
    _, caller = ring

    given = caller.put(f"{SITES}/garden-0/exact-permission", term())

    assert given.status_code == 200
    (permission,) = given.json()["permissions"]
    assert (permission["participant"], permission["ended_at"]) == ("P00", None)
    assert given.json()["warnings"] == []
    released()
    assert places("garden-0") == {"exact|52.88123|-0.72346"}
    ended = caller.delete(f"{SITES}/garden-0/exact-permission")
    assert ended.status_code == 200
    assert ended.json()["public_records_withdrawn"] > 0
    assert ended.json()["permissions"][0]["ended_at"] is not None
    assert places("garden-0") == set()
    released()
    assert places("garden-0") == places("garden-1") == {"0.1|52.8|-0.8"}


def test_group_is_warned_of_blurred_sites_of_the_household(ring: tuple[Group, Actor]) -> None:
    _, caller = ring
    Site.objects.filter(code="garden-1").update(owner=Site.objects.get(code="garden-0").owner)

    given = caller.put(f"{SITES}/garden-0/exact-permission", term())

    assert "garden-1" in given.json()["warnings"][0]
    assert caller.get(f"{SITES}/garden-0/exact-permission").json() == given.json()


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (term(evidence="hearsay"), 422),
        (term(ends_on="2020-01-01"), 409),
        (term("P77"), 404),
        (term() | {"days": 3}, 422),
        ({}, 422),
    ],
)
def test_permission_that_cannot_be_is_refused(
    ring: tuple[Group, Actor], body: dict[str, Any], status: int
) -> None:
    assert ring[1].put(f"{SITES}/garden-0/exact-permission", body).status_code == status


def test_school_is_never_exact(ring: tuple[Group, Actor]) -> None:
    Site.objects.filter(code="garden-0").update(place_kind="school_ground")

    assert ring[1].put(f"{SITES}/garden-0/exact-permission", term()).status_code == 409


def test_site_is_read_and_corrected(ring: tuple[Group, Actor]) -> None:
    _, caller = ring
    released()
    read = caller.get(f"{SITES}/garden-0").json()
    assert (read["code"], read["latitude"], read["place_kind"]) == ("garden-0", 52.8812345, "farm")

    del read["code"]
    same = caller.put(f"{SITES}/garden-0", read)
    moved = caller.put(f"{SITES}/garden-0", read | {"latitude": 52.7})

    assert same.json()["public_records_withdrawn"] == 0
    assert moved.json()["public_records_withdrawn"] > 0
    assert moved.json()["latitude"] == 52.7
    assert places("garden-0") == set()
    assert set(Tombstone.objects.values_list("reason_class", flat=True)) == {"sender_error"}


@pytest.mark.parametrize("change", [{"latitude": 91}, {"place_kind": "castle"}, {"owner": "P01"}])
def test_correction_with_a_fault_is_refused(
    ring: tuple[Group, Actor], change: dict[str, Any]
) -> None:
    _, caller = ring
    read = caller.get(f"{SITES}/garden-0").json()
    del read["code"]

    assert caller.put(f"{SITES}/garden-0", read | change).status_code == 422


def test_unknown_parameter_is_refused(ring: tuple[Group, Actor]) -> None:
    assert ring[1].get(f"{SITES}/garden-0?f=csv").status_code == 400


def test_coarser_wish_sent_with_a_visit_hides_the_rows_at_once(diggers: Partner) -> None:
    village(diggers.group, range(6))
    released()
    visit = visit_of(1, participant="P00")
    visit["site"] = {"code": "garden-0", "place_detail": "region"}
    assert places("garden-0") == {"0.01|52.88|-0.73"}

    answer = diggers.caller.post("/api/v1/partner/submissions", {"visits": [visit]})

    assert answer.json()["summary"]["stored"] == 1, answer.json()
    assert places("garden-0") == set()
    assert places("garden-1") == {"0.01|52.88|-0.73"}
    assert AuditEntry.objects.filter(action="public place withdrawn").count() == 1
