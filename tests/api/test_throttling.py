"""Limits of requests by address and by token."""

import re
from typing import Any

import pytest
from django.test import Client

from tests.api.holders import holder_of, partner
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def low_limits(settings: Any) -> None:
    """Allow three open requests and two with a token a minute."""
    settings.OPEN_REQUESTS_PER_MINUTE = 3
    settings.PARTNER_REQUESTS_PER_MINUTE = 2


def statuses(client: Client, times: int, address: str = "/api/v1/status", **how: Any) -> list[int]:
    return [client.get(address, **how).status_code for _ in range(times)]


def test_open_limit_is_by_address_and_says_when_to_come_back() -> None:
    assert statuses(Client(REMOTE_ADDR="192.0.2.1"), 4) == [200, 200, 200, 429]
    assert statuses(Client(REMOTE_ADDR="192.0.2.2"), 1) == [200]

    answer = Client(REMOTE_ADDR="192.0.2.1").get("/api/v1/visits")

    assert answer.status_code == 429
    assert answer.json()["type"].endswith("/problems/too-many-requests")
    assert 1 <= int(answer.headers["Retry-After"]) <= 61


def test_made_up_forwarding_header_does_not_evade_the_limit() -> None:
    client = Client(REMOTE_ADDR="192.0.2.1")

    found = [
        client.get("/api/v1/status", headers={"X-Forwarded-For": f"198.51.100.{n}"}).status_code
        for n in range(4)
    ]

    assert found == [200, 200, 200, 429]


def test_address_is_read_behind_our_own_proxy(settings: Any) -> None:
    settings.REST_FRAMEWORK = settings.REST_FRAMEWORK | {"NUM_PROXIES": 1}
    proxy = Client(REMOTE_ADDR="10.0.0.1")

    def through(forwarded: str) -> int:
        return proxy.get("/api/v1/status", headers={"X-Forwarded-For": forwarded}).status_code

    assert [through("203.0.113.1") for _ in range(4)] == [200, 200, 200, 429]
    assert through("203.0.113.2") == 200
    assert through("198.51.100.9, 203.0.113.1") == 429, "only the last entry is the proxy's"


def test_every_open_face_counts_against_one_limit() -> None:
    client = Client()

    found = [
        client.get(address).status_code
        for address in ("/api/v1", "/api/v1/releases", "/files/1/1/archive.zip", "/api/v1/status")
    ]

    assert found == [200, 200, 404, 429]


def test_token_limit_is_by_token() -> None:
    group, caller = partner()
    same_group = holder_of(group, "read")

    found = [caller.get("/api/v1/partner/me").status_code for _ in range(3)]

    assert found == [200, 200, 429]
    assert same_group.get("/api/v1/partner/me").status_code == 200
    assert Actor().get("/api/v1/status").status_code == 200


def test_limit_of_a_token_is_private_and_says_when_to_come_back() -> None:
    _, caller = partner()
    answers = [caller.get("/api/v1/partner/me") for _ in range(3)]

    assert answers[-1].status_code == 429
    assert answers[-1].headers["Cache-Control"] == "private, no-store"
    assert 1 <= int(answers[-1].headers["Retry-After"]) <= 61


def test_every_answer_says_what_is_left() -> None:
    """Follow the parameter form of draft-ietf-httpapi-ratelimit-headers-10 (read from memory)."""
    ReleaseFactory.create(number=1)
    client = Client()

    answers = [
        client.get(address)
        for address in ("/api/v1/pits", "/api/v1/pits?colour=red", "/files/1/1/no.zip", "/api/v1")
    ]

    assert [answer.status_code for answer in answers] == [200, 400, 404, 429]
    assert {answer.headers["RateLimit-Policy"] for answer in answers} == {'"open";q=3;w=60'}
    found = [re.fullmatch(r'"open";r=(\d+);t=(\d+)', a.headers["RateLimit"]) for a in answers]
    assert [int(match[1]) for match in found if match] == [2, 1, 0, 0]
    assert all(1 <= int(match[2]) <= 60 for match in found if match)
    assert 1 <= int(answers[-1].headers["Retry-After"]) <= 61


def test_limit_of_a_token_has_its_own_name() -> None:
    _, caller = partner()

    answer = caller.get("/api/v1/partner/me")

    assert answer.headers["RateLimit-Policy"] == '"token";q=2;w=60'
    assert answer.headers["RateLimit"].startswith('"token";r=1;t=')
