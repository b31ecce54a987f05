"""A researcher's token reads exact places, the group says no, the participant sees who looked."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from portal.publication.operations import make_release
from portal.records.models import PublishedVisit
from surveys.people.models import Group
from surveys.sites.models import Site
from tests.api.holders import ALL_OF_A_GROUP, holder_of
from tests.factories.private import ConsentFactory, ReviewerFactory
from tests.journeys.actors import Actor
from tests.portal.publication.villages import Household, village, village_group

PLACES = "/api/v1/vetted/places"
GRANTS = "/api/v1/review/grants"
OWN = "/api/v1/partner/grants"

pytestmark = pytest.mark.django_db


@pytest.fixture
def group() -> Group:
    return village_group()


@pytest.fixture
def homes(group: Group) -> list[Household]:
    """Return five published households; the first lets researchers see its place."""
    made = village(group, range(5))
    ConsentFactory.create(participant=made[0].participant, purpose="exact_place")
    make_release(at=timezone.now(), by="test")
    for home in made:
        home.visit.refresh_from_db()
    return made


@pytest.fixture
def steward() -> Actor:
    return holder_of(ReviewerFactory.create(code="S1", is_steward=True), "steward")


def grant_body(**changes: Any) -> dict[str, Any]:
    today = timezone.now().date()
    return {
        "researcher": "Ada Invented",
        "institution": "Institute of Nowhere",
        "contact": "ada@example.org",
        "purpose": "Soil maps.",
        "fields": ["exact_place", "day"],
        "groups": ["QVD"],
        "starts_on": today.isoformat(),
        "ends_on": (today + timedelta(days=30)).isoformat(),
    } | changes


def granted(steward: Actor, **changes: Any) -> tuple[str, Actor]:
    answer = steward.post(GRANTS, grant_body(**changes))
    assert answer.status_code == 201, answer.json()
    return answer.json()["key"], Actor(answer.json()["token"])


def all_of(homes: list[Household]) -> str:
    return f"{PLACES}?visit={','.join(str(home.visit.public_id) for home in homes)}"


def test_researcher_sees_whom_they_may_and_the_participant_sees_that(
    group: Group, homes: list[Household], steward: Actor
) -> None:
    _, researcher = granted(steward)

    answer = researcher.get(all_of(homes))

    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert answer.json()["data"] == [
        {
            "visit": str(homes[0].visit.public_id),
            "latitude": 52.8812345,
            "longitude": -0.7234567,
            "uncertainty_m": 5.0,
            "visited_on": homes[0].visit.visited_on.isoformat(),
        }
    ]
    caller = holder_of(group, *ALL_OF_A_GROUP)
    (read,) = caller.get("/api/v1/partner/participants/P00/exact-reads").json()["data"]
    assert (read["researcher"], read["purpose"]) == ("Ada Invented", "Soil maps.")
    assert (read["visit"], read["site"]) == ("V00", "garden-0")
    assert caller.get("/api/v1/partner/participants/P01/exact-reads").json()["data"] == []


def test_group_sees_the_grant_and_vetoes_it(
    group: Group, homes: list[Household], steward: Actor
) -> None:
    key, researcher = granted(steward)
    caller = holder_of(group, *ALL_OF_A_GROUP)
    (shown,) = caller.get(OWN).json()["data"]
    assert (shown["key"], shown["is_vetoed"], shown["purpose"]) == (key, False, "Soil maps.")

    vetoed = caller.post(f"{OWN}/{key}/veto", {"reason": "Not for maps."})

    assert vetoed.json()["is_vetoed"] is True
    assert researcher.get(all_of(homes)).json()["data"] == []
    assert steward.get(GRANTS).json()["data"][0]["vetoed_by"] == ["QVD"]
    assert caller.post(f"{OWN}/{key}/veto", {"why": 1}).status_code == 422


def test_veto_before_the_start_holds(group: Group, homes: list[Household], steward: Actor) -> None:
    del homes
    later = timezone.now().date() + timedelta(days=7)
    key, researcher = granted(steward, starts_on=later.isoformat())

    assert researcher.get(f"{PLACES}?visit=x").status_code == 401, "not in force yet"
    caller = holder_of(group, *ALL_OF_A_GROUP)
    assert caller.post(f"{OWN}/{key}/veto").json()["is_vetoed"] is True


def test_hidden_visit_is_as_unknown_as_none(homes: list[Household], steward: Actor) -> None:
    assert homes[0].visit.public_id is not None
    PublishedVisit.objects.filter(id=homes[0].visit.public_id).update(hidden=True)
    _, researcher = granted(steward)

    assert researcher.get(all_of(homes[:1])).json()["data"] == []


def test_ended_grant_opens_nothing(homes: list[Household], steward: Actor) -> None:
    key, researcher = granted(steward)

    ended = steward.post(f"{GRANTS}/{key}/end")

    assert (ended.status_code, ended.json()["in_force"]) == (200, False)
    assert researcher.get(all_of(homes)).status_code == 401
    assert steward.post(f"{GRANTS}/{key}/end").status_code == 409


@pytest.mark.parametrize(
    "query", ["", "?visit=", "?visit=garbage", "?visit=1,2", "?site=1", "?visit=x&f=csv"]
)
def test_question_that_cannot_be_is_refused(
    homes: list[Household], steward: Actor, query: str
) -> None:
    del homes
    _, researcher = granted(steward)

    assert researcher.get(PLACES + query).status_code == 400


def test_other_tokens_open_nothing_here_and_a_grant_nothing_elsewhere(
    group: Group, homes: list[Household], steward: Actor
) -> None:
    _, researcher = granted(steward)

    for caller in (Actor(), steward, holder_of(group, *ALL_OF_A_GROUP)):
        assert caller.get(all_of(homes)).status_code == 401
    for address in ("/api/v1/partner/me", GRANTS, "/api/v1/harvesters/me"):
        assert researcher.get(address).status_code == 401


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"fields": ["name"]}, 422),
        ({"fields": []}, 422),
        ({"groups": ["NONE"]}, 400),
        ({"ends_on": "2020-01-01"}, 409),
        ({"purpose": ""}, 422),
    ],
)
def test_grant_with_a_fault_is_refused(
    group: Group, steward: Actor, change: dict[str, Any], status: int
) -> None:
    del group

    assert steward.post(GRANTS, grant_body(**change)).status_code == status
    assert Site.objects.count() == 0
