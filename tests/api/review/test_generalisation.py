"""Stewards set the rules of generalisation; two of them where more would be seen."""

from typing import Any

import pytest

from portal.publication.models import GeneralisationSetting
from tests.api.holders import holder_of
from tests.factories.private import ReviewerFactory
from tests.journeys.actors import Actor

RULES = "/api/v1/review/generalisation-rules"
REASON = "The board asked for it."

pytestmark = pytest.mark.django_db


def steward(code: str) -> Actor:
    return holder_of(ReviewerFactory.create(code=code, is_steward=True), "steward")


def test_defaults_are_shown_without_history() -> None:
    body = steward("S1").get(RULES).json()

    assert body["in_force"]["setting"] is None
    assert body["in_force"]["rules"]["keep_at"] == 3
    assert body["history"] == []


def test_stricter_rules_are_in_force_at_once_and_the_rest_stays() -> None:
    caller = steward("S1")

    answer = caller.post(RULES, {"rules": {"place_floors": {"farm": 2}}, "reason": REASON})

    assert answer.status_code == 201
    made = answer.json()
    assert (made["state"], made["author"], made["reason"]) == ("in force", "reviewer S1", REASON)
    assert made["changes"] == [
        {"rule": "place_floors.farm", "before": 3, "after": 2, "lets_more_be_seen": False}
    ]
    body = caller.get(RULES).json()
    assert body["in_force"]["setting"] == made["id"]
    assert body["in_force"]["rules"]["place_floors"]["farm"] == 2
    assert body["in_force"]["rules"]["place_floors"]["allotment"] == 4


def test_looser_rules_wait_until_another_steward_confirms_them() -> None:
    first, second = steward("S1"), steward("S2")
    made = first.post(RULES, {"rules": {"keep_at": 2}, "reason": REASON}).json()
    assert made["state"] == "waits for a second steward"
    assert first.get(RULES).json()["in_force"]["rules"]["keep_at"] == 3

    alone = first.post(f"{RULES}/{made['id']}/confirmation")
    confirmed = second.post(f"{RULES}/{made['id']}/confirmation")

    assert alone.status_code == 409
    assert confirmed.status_code == 200
    assert confirmed.json()["confirmed_by"] == "reviewer S2"
    assert first.get(RULES).json()["in_force"]["rules"]["keep_at"] == 2
    assert first.get(RULES).json()["history"] == [confirmed.json()]


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"rules": {"keep_at": 3}, "reason": REASON}, 422),
        ({"rules": {"keep_at": 9}, "reason": REASON}, 422),
        ({"rules": {"keep_at": 4}}, 422),
        ({"rules": {"k": 4}, "reason": REASON}, 422),
        ({"rules": {"place_floors": {"castle": 2}}, "reason": REASON}, 422),
        ({"rules": {"place_floors": {"farm": 6}}, "reason": REASON}, 422),
        ({"rules": {"date_precisions": {"farm": "hour"}}, "reason": REASON}, 422),
        ([], 422),
    ],
)
def test_rules_that_cannot_be_are_refused(body: Any, status: int) -> None:
    answer = steward("S1").post(RULES, body)

    assert answer.status_code == status
    assert not GeneralisationSetting.objects.exists()


def test_unknown_setting_and_parameter() -> None:
    caller = steward("S1")

    assert caller.post(f"{RULES}/99/confirmation").status_code == 404
    assert caller.get(f"{RULES}?colour=red").status_code == 400


def test_only_stewards_may_look() -> None:
    reviewer = holder_of(ReviewerFactory.create(), "review", "steward")

    assert reviewer.get(RULES).status_code == 403
    assert reviewer.post(RULES, {"rules": {"keep_at": 4}, "reason": REASON}).status_code == 403
