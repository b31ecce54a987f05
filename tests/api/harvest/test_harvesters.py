"""Harvesters register, confirm and leave."""

import json
from typing import Any

import pytest
from pytest_django import Settings

from portal.harvesters.models import Acknowledgement, Harvester
from portal.records.operations import add_entry
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, TombstoneFactory
from tests.journeys.actors import JSON, Actor

ALL = "/api/v1/harvesters"
ME = f"{ALL}/me"
CONFIRM = f"{ME}/acknowledgements"
FEED = "/api/v1/changes"
SENT = {
    "name": "Example index",
    "contact": "harvest@example.org",
    "homepage": "https://example.org",
}

pytestmark = pytest.mark.django_db


def registered(**changes: Any) -> Actor:
    return Actor(Actor().post(ALL, SENT | changes).json()["token"])


def patch(caller: Actor, body: Any) -> Any:
    return caller.client.patch(ME, json.dumps(body), content_type=JSON, headers=caller.headers)


def delete(caller: Actor) -> Any:
    return caller.client.delete(ME, headers=caller.headers)


def issue(number: int) -> None:
    release = ReleaseFactory.create(number=number)
    add_entry(at=release.issued_at, release=release)
    PublishedVisitFactory.create_batch(2, since_release=number)


def resume(reader: Actor, since: str = "") -> str:
    *_, last = reader.pages(f"{FEED}?since={since}" if since else FEED)
    return str(last["meta"]["resume"])


def test_registration_shows_the_token_once_and_keeps_its_hash_only() -> None:
    answer = Actor().post(ALL, SENT)

    body = answer.json()
    secret = body["token"]
    assert answer.status_code == 201
    assert answer.headers["Location"].endswith(ME)
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert secret not in str(list(Harvester.objects.values()))
    again = Actor(secret).get(ME).json()
    assert again == {key: value for key, value in body.items() if key != "token"}
    assert {name: again[name] for name in SENT} == SENT
    assert again["acknowledged"] is None


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"name": ""}, "/name"),
        ({"name": "a\u0000b"}, "/name"),
        ({"name": "two\nlines"}, "/name"),
        ({"name": "x" * 121}, "/name"),
        ({"name": 5}, "/name"),
        ({"contact": ""}, "/contact"),
        ({"homepage": "javascript:alert(1)"}, "/homepage"),
        ({"homepage": "https://a b"}, "/homepage"),
        ({"colour": "red"}, "/colour"),
    ],
)
def test_registration_with_a_fault_is_refused(changes: Any, pointer: str) -> None:
    answer = Actor().post(ALL, SENT | changes)

    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == [pointer]
    assert not Harvester.objects.exists()


def test_body_that_is_no_json_is_refused() -> None:
    answer = Actor().client.post(ALL, b"{", content_type=JSON)

    assert answer.status_code == 400


def test_few_may_register_from_one_address_in_an_hour(settings: Settings) -> None:
    settings.HARVESTER_REGISTRATIONS_PER_HOUR = 2

    found = [Actor().post(ALL, SENT).status_code for _ in range(3)]

    assert found == [201, 201, 429]
    assert Actor().get("/api/v1/releases").status_code == 200


@pytest.mark.parametrize("secret", ["", "drh000000_nonsense"])
def test_own_addresses_need_a_harvesters_token(secret: str) -> None:
    caller = Actor(secret)

    answers = [
        caller.get(ME),
        patch(caller, {"name": "x"}),
        delete(caller),
        caller.post(CONFIRM, {"until": "x"}),
    ]

    assert {answer.status_code for answer in answers} == {401}
    assert all(answer.headers["WWW-Authenticate"].startswith("Bearer") for answer in answers)


def test_what_is_named_is_changed_and_the_rest_stays() -> None:
    caller = registered()

    answer = patch(caller, {"contact": "new@example.org"})

    assert answer.status_code == 200
    assert caller.get(ME).json()["contact"] == "new@example.org"
    assert caller.get(ME).json()["name"] == SENT["name"]
    assert patch(caller, {"name": ""}).status_code == 422
    assert patch(caller, {"sha256": "0"}).status_code == 422


def test_confirmation_is_kept_for_what_was_read_to_its_end(reader: Actor) -> None:
    issue(1)
    caller = registered()
    TombstoneFactory.create()
    half = reader.get(f"{FEED}?limit=1").json()["meta"]["resume"]

    assert caller.post(CONFIRM, {"until": half}).json()["acknowledged"] is None
    whole = resume(reader)
    answer = caller.post(CONFIRM, {"until": whole})

    assert answer.status_code == 200
    assert answer.json()["acknowledged"]["until"] == whole
    assert list(Acknowledgement.objects.values_list("entry", flat=True)) == [2]


def test_older_or_equal_confirmation_changes_nothing(reader: Actor) -> None:
    caller = registered()
    issue(1)
    first = resume(reader)
    issue(2)
    second = resume(reader, first)
    for token in (first, second):
        caller.post(CONFIRM, {"until": token})
    before = list(Acknowledgement.objects.values())

    answers = [caller.post(CONFIRM, {"until": token}) for token in (first, second)]

    assert [answer.status_code for answer in answers] == [200, 200]
    assert {answer.json()["acknowledged"]["until"] for answer in answers} == {second}
    assert list(Acknowledgement.objects.values()) == before
    assert len(before) == 2


@pytest.mark.parametrize(
    "body", [{"until": "garbage"}, {}, {"until": None}, {"until": "x", "a": 1}]
)
def test_confirmation_of_nothing_known_is_refused(body: Any) -> None:
    caller = registered()

    assert caller.post(CONFIRM, body).status_code in {400, 422}
    assert not Acknowledgement.objects.exists()


def test_who_leaves_is_forgotten_but_for_the_name_and_what_was_confirmed(reader: Actor) -> None:
    issue(1)
    caller = registered()
    caller.post(CONFIRM, {"until": resume(reader)})

    answer = delete(caller)

    assert answer.status_code == 204
    assert caller.get(ME).status_code == 401
    harvester = Harvester.objects.get()
    assert (harvester.name, harvester.contact, harvester.sha256) == (SENT["name"], "", None)
    assert harvester.acknowledgements.count() == 1


def test_harvesters_token_opens_nothing_else() -> None:
    caller = registered()

    for closed in ("/api/v1/partner/me", "/api/v1/review/harvesters", "/api/v1/review/waiting"):
        assert caller.get(closed).status_code == 401
