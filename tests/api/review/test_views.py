"""The reasons, and making a release."""

from typing import Any

import pytest

from portal.records.models import Release
from surveys.moderation.reasons import REASONS
from surveys.people.models import Group
from tests.api.holders import holder_of
from tests.factories.private import ReviewerFactory
from tests.journeys.actors import Actor

RELEASES = "/api/v1/review/releases"

pytestmark = pytest.mark.django_db


def steward(**facts: Any) -> Actor:
    return holder_of(ReviewerFactory.create(**{"is_steward": True} | facts), "steward", "review")


def test_reasons_are_listed_with_the_text_that_the_sender_reads(reviewer: Actor) -> None:
    data = reviewer.get("/api/v1/review/reasons").json()["data"]

    assert {one["code"]: one["text"] for one in data} == {
        code: reason.text for code, reason in REASONS.items()
    }
    assert all(one["decisions"] for one in data)


def test_steward_makes_a_release(group: Group) -> None:
    del group

    answer = steward().post(RELEASES)

    assert answer.status_code == 201
    assert answer.json()["number"] == 1
    assert answer.headers["Location"] == "http://localhost:8000/api/v1/releases/1"
    assert Release.objects.count() == 1


@pytest.mark.parametrize("facts", [{"is_steward": False}, {"active": False}])
def test_only_a_steward_in_office_makes_a_release(facts: dict[str, bool]) -> None:
    answer = steward(**facts).post(RELEASES)

    assert answer.status_code == 403
    assert answer.json()["type"].endswith("/problems/not-allowed")
    assert not Release.objects.exists()


def test_refused_release_is_a_conflict(group: Group) -> None:
    del group
    caller = steward()
    caller.post(RELEASES)
    Release.objects.update(issued_at="2099-01-01T00:00:00Z")

    answer = caller.post(RELEASES)

    assert answer.status_code == 409
    assert "go forward only" in answer.json()["detail"]
    assert Release.objects.count() == 1
