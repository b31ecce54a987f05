"""Root, groups, status."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


def test_root_leads_to_everything(reader: Actor) -> None:
    release = ReleaseFactory.create(number=1)

    body = reader.get("/api/v1").json()

    links = {link["rel"]: link["href"] for link in body["links"]}
    assert (body["release"], body["citation"]) == (1, release.citation)
    assert {"service-desc", "service-doc", "status", "describedby", "visits"} <= set(links)
    assert links.pop("license") == release.licence_url
    for href in links.values():
        assert reader.get(href).status_code == 200, href


def test_root_leads_to_each_collection_as_data(reader: Actor) -> None:
    links = reader.get("/api/v1").json()["links"]

    found = {link["title"]: link["href"] for link in links if link["rel"] == "data"}
    assert found == {
        name: f"http://localhost:8000/api/v1/{name}"
        for name in ("visits", "pits", "counts", "occurrences")
    }


def test_root_and_status_answer_before_the_first_release(reader: Actor) -> None:
    assert reader.get("/api/v1").json()["release"] is None
    status = reader.get("/api/v1/status").json()
    del status["links"]
    assert status == {
        "status": "up",
        "version": "0.1.0",
        "release": None,
        "issued_at": None,
        "age_days": None,
        "planned_downtime": None,
    }


def test_status_names_the_release_and_its_age(reader: Actor, settings: Any) -> None:
    settings.PLANNED_DOWNTIME = "2027-01-05T20:00Z/2027-01-05T22:00Z"
    ReleaseFactory.create(number=4, issued_at=timezone.now() - timedelta(days=3, hours=2))

    answer = reader.get("/api/v1/status")

    status = answer.json()
    assert (status["release"], status["age_days"]) == (4, 3)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", status["issued_at"])
    assert status["planned_downtime"] == "2027-01-05T20:00Z/2027-01-05T22:00Z"
    assert answer.headers["Cache-Control"] == "no-cache", "a state must not be kept"


def test_groups_are_those_that_the_release_credits(reader: Actor) -> None:
    named = [{"code": "QVD", "name": "Quellmoor Village Diggers", "visits": 7}]
    ReleaseFactory.create(number=1, credits=named)
    ReleaseFactory.create(number=2, credits=[])

    assert reader.get("/api/v1/groups?release=1").json()["data"] == named
    assert reader.get("/api/v1/groups").json()["data"] == []
