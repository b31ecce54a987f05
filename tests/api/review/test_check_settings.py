"""Parameters of checks by HTTP."""

import pytest

from tests.api.holders import holder_of, partner, sent_visit, visit_of
from tests.factories.private import ReviewerFactory
from tests.journeys.actors import Actor

SETTINGS = "/api/v1/review/check-settings"
STRICTER = {
    "protocol": "contrast-pit/2",
    "parameters": {"query_above_per_m2": 10},
    "reason": "A dry year.",
}

pytestmark = pytest.mark.django_db


@pytest.fixture
def steward() -> Actor:
    return holder_of(ReviewerFactory.create(code="S1", is_steward=True), "steward", "review")


def test_setting_holds_for_what_is_sent_from_then_on(steward: Actor) -> None:
    _, caller = partner()
    sent_visit(caller, visit_of(1))

    answer = steward.post(SETTINGS, STRICTER)

    assert answer.status_code == 201
    sent_visit(caller, visit_of(2))
    asked = {
        visit["client_ref"]: {one["label"] for one in visit["open_questions"]}
        for visit in steward.get("/api/v1/review/waiting").json()["data"]
    }
    assert "VALIDATION_COUNTS_LIKELY" not in asked["QVD-S01"]
    assert "VALIDATION_COUNTS_LIKELY" in asked["QVD-S02"]
    read = steward.get(SETTINGS).json()
    assert read["in_force"]["contrast-pit/2"]["query_above_per_m2"] == 10
    assert read["history"] == [answer.json()]
    assert answer.json()["author"] == "reviewer S1"


@pytest.mark.parametrize(
    "change",
    [
        {"protocol": "contrast-pit/99"},
        {"parameters": {"query_above": 10}},
        {"parameters": {"query_above_per_m2": "10"}},
        {"reason": ""},
    ],
)
def test_setting_that_does_not_fit_is_refused(steward: Actor, change: dict[str, object]) -> None:
    partner()

    assert steward.post(SETTINGS, STRICTER | change).status_code == 422
    assert steward.get(SETTINGS).json()["history"] == []


def test_reviewer_who_is_no_steward_sets_nothing() -> None:
    caller = holder_of(ReviewerFactory.create(), "steward", "review")

    assert caller.post(SETTINGS, STRICTER).status_code == 403
