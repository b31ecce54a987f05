"""A coordinator makes, lists, rotates and revokes tokens, and a secret is seen once."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from surveys.people.models import AccessToken, Group
from surveys.visits.models import Visit
from tests.api.holders import SUBMISSIONS, VISITS, holder_of, partner, sent_visit, visit_of
from tests.factories.private import GroupFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db

TOKENS, ME = "/api/v1/partner/tokens", "/api/v1/partner/me"
PRACTICE = "/api/v1/partner/practice"
ADULT = {"purpose": "publish", "decision": "given", "given_by": "self", "statement_version": "1"}


@pytest.fixture
def group() -> Group:
    return partner()[0]


@pytest.fixture
def coordinator(group: Group) -> Actor:
    return holder_of(group, "read", "submit", "withdraw", "coordinate")


def made(caller: Actor, **wanted: Any) -> dict[str, Any]:
    answer = caller.post(TOKENS, {"name": "tablet"} | wanted)
    assert answer.status_code == 201, answer.json()
    token: dict[str, Any] = answer.json()
    return token


def test_token_made_by_a_coordinator_submits(coordinator: Actor) -> None:
    token = made(coordinator, days=30)

    assert (token["role"], token["scopes"]) == ("submitter", ["read", "submit"])
    assert token["secret"].startswith(f"{token['prefix']}_")
    sent_visit(Actor(token["secret"]), visit_of(1))


def test_secret_is_never_seen_again(coordinator: Actor) -> None:
    token = made(coordinator)

    listed = coordinator.get(TOKENS)

    assert token["secret"] not in listed.content.decode()
    assert "sha256" not in listed.content.decode()
    assert listed.json()["data"][0]["prefix"] == token["prefix"]


def test_list_tells_when_a_token_was_used_last(coordinator: Actor) -> None:
    token = made(coordinator)
    Actor(token["secret"]).get(ME)

    used, own, _ = coordinator.get(TOKENS).json()["data"]

    assert used["last_used_at"] is not None
    assert (own["role"], own["state"]) == ("coordinator", "in_force")


def test_revoked_token_ends_at_once(coordinator: Actor) -> None:
    token = made(coordinator)

    ended = coordinator.delete(f"{TOKENS}/{token['prefix']}")

    assert ended.status_code == 204
    assert Actor(token["secret"]).get(ME).status_code == 401
    assert coordinator.get(TOKENS).json()["data"][0]["state"] == "revoked"
    assert coordinator.delete(f"{TOKENS}/{token['prefix']}").status_code == 204


def test_old_and_new_token_overlap_and_then_the_old_ends(coordinator: Actor) -> None:
    old = made(coordinator, scopes=["submit"])

    answer = coordinator.post(f"{TOKENS}/{old['prefix']}/rotation", {"overlap_hours": 2})

    new = answer.json()
    assert answer.status_code == 201
    assert (new["name"], new["scopes"]) == (old["name"], ["submit"])
    assert new["expires_at"] > old["created_at"]
    for secret in (old["secret"], new["secret"]):
        assert Actor(secret).post(SUBMISSIONS, {"visits": []}).status_code == 422
    row = AccessToken.objects.get(prefix=old["prefix"])
    left = row.expires_at - timezone.now()
    assert timedelta(hours=1, minutes=59) < left <= timedelta(hours=2)


def test_ended_token_is_not_rotated(coordinator: Actor) -> None:
    old = made(coordinator)
    coordinator.delete(f"{TOKENS}/{old['prefix']}")

    answer = coordinator.post(f"{TOKENS}/{old['prefix']}/rotation")

    assert answer.status_code == 409
    assert answer.json()["type"].endswith("/problems/wrong-state")


@pytest.mark.parametrize(
    ("wanted", "pointer"),
    [
        ({"scopes": ["withdraw"]}, "/scopes"),
        ({"role": "coordinator", "practice": True}, "/role"),
        ({"scopes": ["coordinate"], "practice": True}, "/scopes"),
        ({"scopes": ["review"]}, "/scopes/0"),
        ({"name": ""}, "/name"),
        ({"days": 0}, "/days"),
    ],
)
def test_token_beyond_its_role_is_refused(
    coordinator: Actor, wanted: dict[str, Any], pointer: str
) -> None:
    answer = coordinator.post(TOKENS, {"name": "tablet"} | wanted)

    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_coordinator_of_another_group_does_not_reach_it(coordinator: Actor) -> None:
    token = made(coordinator)
    stranger = holder_of(GroupFactory.create(code="OTHER"), "coordinate")

    assert stranger.delete(f"{TOKENS}/{token['prefix']}").status_code == 404
    assert stranger.post(f"{TOKENS}/{token['prefix']}/rotation").status_code == 404
    assert len(stranger.get(TOKENS).json()["data"]) == 1
    assert Actor(token["secret"]).get(ME).status_code == 200


def practised(caller: Actor) -> Actor:
    """Return the holder of a practice token who sent one visit under a real reference."""
    learner = Actor(made(caller, practice=True)["secret"])
    person = {"household": "house-7", "consents": [ADULT]}
    assert learner.put("/api/v1/partner/participants/QVD-07", person).status_code in {200, 201}
    sent_visit(learner, visit_of(1))
    return learner


def test_practice_takes_no_real_reference(coordinator: Actor) -> None:
    learner = practised(coordinator)

    sent_visit(coordinator, visit_of(1))

    told = learner.get(ME).json()
    assert (told["group"], told["practice"], told["token"]["role"]) == ("QVD", True, "submitter")
    assert [one["state"] for one in learner.get(VISITS).json()["data"]] == ["in_review"]
    assert len(coordinator.get(VISITS).json()["data"]) == 1
    assert Visit.objects.filter(client_ref="QVD-S01").count() == 2


@pytest.mark.parametrize(
    "address",
    [
        TOKENS,
        "/api/v1/partner/calibrations",
        "/api/v1/partner/grants",
        f"{VISITS}/QVD-S01/photos",
        f"{VISITS}/QVD-S01/result",
    ],
)
def test_practice_token_opens_only_what_can_be_practised(coordinator: Actor, address: str) -> None:
    learner = practised(coordinator)

    answer = learner.get(address)

    assert answer.status_code == 403


def test_clearing_deletes_practice_and_nothing_else(coordinator: Actor) -> None:
    learner = practised(coordinator)
    sent_visit(coordinator, visit_of(1))

    cleared = learner.delete(PRACTICE)

    assert (cleared.status_code, cleared.json()) == (200, {"visits": 1})
    assert learner.get(VISITS).json()["data"] == []
    assert learner.get("/api/v1/partner/participants/QVD-07").status_code == 404
    assert len(coordinator.get(VISITS).json()["data"]) == 1
    assert coordinator.delete(PRACTICE).json() == {"visits": 0}
    assert practised(coordinator).get(VISITS).status_code == 200
