"""One withdrawal, from the click of a person without an account to the proof that it arrived."""

import re
from html import unescape
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from tests.journeys.actors import Actor, garden_visit, office

HOUSEHOLDS = range(1, 8)
FEED = "/api/v1/changes"
HARVESTER = {"name": "Example ledger of the soil", "contact": "ledger@example.org"}

NOTHING = {"entries": 0, "withdrawals": 0}


class Person:
    """Somebody with a browser and the link that the group handed over, and nothing else."""

    def __init__(self, link: str) -> None:
        self.home = link.removeprefix("http://localhost:8000")
        # As strict about forms as a server is.
        self.browser = Client(enforce_csrf_checks=True)

    def read(self, path: str) -> str:
        """Return a page as it is read."""
        answer = self.browser.get(path)
        assert answer.status_code == 200, answer.status_code
        return " ".join(answer.content.decode().split())

    def follow(self, page: str, label: str) -> tuple[str, str]:
        """Follow a link by its words; return where it led and what stands there."""
        (link,) = re.findall(rf'<a [^>]*href="([^"]+)"[^>]*>{label}</a>', page)
        path = unescape(link)
        return path, self.read(path)

    def press(self, page: str, label: str) -> str:
        """Press the button of the page's form and return what stands where it leads."""
        assert f">{label}</button>" in page
        (action,) = re.findall(r'<form method="post" action="([^"]+)"', page)
        fields = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page)
        sent = {name: unescape(value) for name, value in fields}
        answer = self.browser.post(action, sent, headers={"Origin": "http://testserver"})
        assert answer.status_code == 303, answer.content
        return self.read(answer.headers["Location"])


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    cache.clear()


@pytest.mark.slow
@pytest.mark.django_db
def test_withdrawal_is_followed_from_click_to_acknowledged_harvest() -> None:
    _, group, reviewer, steward = office()
    public_id = _publish(group, reviewer, steward)
    harvester, read_until = _register_and_harvest()
    _acknowledge(harvester, read_until)
    assert _outstanding(steward) == NOTHING

    person = Person(group.post("/api/v1/partner/participants/QVD-05/link").json()["url"])
    _click_through(person)
    _is_a_tombstone(public_id)
    told_until = _feed_tells_once(harvester, read_until, public_id)
    assert _outstanding(steward) == {"entries": 1, "withdrawals": 1}
    _waits_for_the_harvester(person)
    confirmed_at = _acknowledge(harvester, told_until)

    _names_the_harvester(person, confirmed_at)
    assert _outstanding(steward) == NOTHING
    _, nothing = _read_feed(harvester, told_until)
    assert nothing == []


def _publish(group: Actor, reviewer: Actor, steward: Actor) -> str:
    consent = {"purpose": "publish", "decision": "given", "given_by": "self"}
    consent["statement_version"] = "1"
    for number in HOUSEHOLDS:
        body = {"household": f"house-{number}", "consents": [consent]}
        assert group.put(f"/api/v1/partner/participants/QVD-{number:02}", body).status_code == 200
    batch = {"visits": [garden_visit(number) for number in HOUSEHOLDS]}
    assert group.post("/api/v1/partner/submissions", batch).json()["summary"]["stored"] == 7
    for visit in reviewer.get("/api/v1/review/waiting").json()["data"]:
        decision = {"decision": "accepted"}
        address = f"/api/v1/review/visits/QVD/{visit['client_ref']}/decision"
        seen = {"If-Match": visit["etag"]}
        assert reviewer.post(address, decision, **seen).status_code == 200
    assert steward.post("/api/v1/review/releases").status_code == 201
    return str(group.get("/api/v1/partner/visits/QVD-S05").json()["public_id"])


def _register_and_harvest() -> tuple[Actor, str]:
    registered = Actor().post("/api/v1/harvesters", HARVESTER)
    assert registered.status_code == 201, registered.json()
    harvester = Actor(registered.json()["token"])
    read_until, told = _read_feed(harvester, None)
    assert {change["change"] for change in told} == {"added"}
    return harvester, read_until


def _read_feed(harvester: Actor, since: str | None) -> tuple[str, list[dict[str, Any]]]:
    """Return the token to come back with, and everything that was told."""
    following: str | None = f"{FEED}?limit=50" + (f"&since={since}" if since else "")
    told: list[dict[str, Any]] = []
    while following:
        page = harvester.get(following).json()
        told += page["data"]
        resume, following = page["meta"]["resume"], page["links"]["next"]
    return str(resume), told


def _acknowledge(harvester: Actor, until: str) -> str:
    answer = harvester.post("/api/v1/harvesters/me/acknowledgements", {"until": until})
    assert answer.status_code == 200, answer.json()
    return str(answer.json()["acknowledged"]["at"])


def _click_through(person: Person) -> None:
    page = person.read(person.home)
    assert "QVD-05" in page
    assert "Published since release 1." in page
    _, explained = person.follow(page, "Take back this record of [^<]+")
    assert "Nothing has changed yet." in explained
    assert "Leaves release 1, with its pits and counts." in explained
    assert "Published since release 1." in person.read(person.home)
    done = person.press(explained, "Yes, take this record back")
    assert "1 record is off every open page, answer and file." in done


def _is_a_tombstone(public_id: str) -> None:
    stone = Actor().get(f"/id/visit/{public_id}")
    assert stone.status_code == 410
    assert (stone.json()["id"], stone.json()["reason_class"]) == (public_id, "consent_withdrawn")
    assert "QVD" not in stone.content.decode()


def _feed_tells_once(harvester: Actor, since: str, public_id: str) -> str:
    told_until, told = _read_feed(harvester, since)
    assert {change["change"] for change in told} == {"withdrawn"}
    assert [change["kind"] for change in told if change["id"] == public_id] == ["visit"]
    assert len({change["id"] for change in told}) == len(told) == 1 + 2 + 16
    return told_until


def _waits_for_the_harvester(person: Person) -> None:
    page = person.read(f"{person.home}/withdrawn")
    assert "0 of 1 harvesters have confirmed" in page
    assert f"waiting for: {HARVESTER['name']} since" in page


def _names_the_harvester(person: Person, confirmed_at: str) -> None:
    page = person.read(f"{person.home}/withdrawn")
    assert "1 of 1 harvesters has confirmed taking it out." in page
    (instant,) = re.findall(rf'{HARVESTER["name"]} confirmed on <time datetime="([^"]+)"', page)
    assert instant[:19] == confirmed_at[:19]
    assert "waiting for" not in page
    assert HARVESTER["contact"] not in page


def _outstanding(steward: Actor) -> dict[str, int]:
    """Return what a steward sees that the only harvester still owes."""
    answer = steward.get("/api/v1/review/harvesters")
    assert answer.status_code == 200, answer.json()
    (standing,) = answer.json()["data"]
    assert (standing["name"], standing["contact"]) == (HARVESTER["name"], HARVESTER["contact"])
    outstanding: dict[str, int] = standing["outstanding"]
    assert (standing["behind_since"] is None) == (outstanding == NOTHING)
    return outstanding
