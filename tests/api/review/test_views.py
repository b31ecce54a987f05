"""What waits for a reviewer, deciding on it, and making a release."""

from typing import Any

import pytest

from portal.records.models import Release
from surveys.moderation.reasons import REASONS
from surveys.people.models import Group, Reviewer
from surveys.visits.models import Determination, Visit, VisitState
from tests.api.holders import holder_of, neighbour, partner, sent_visit, visit_of
from tests.factories.private import ParticipantFactory, ReviewerFactory, put
from tests.journeys.actors import Actor

WAITING = "/api/v1/review/waiting"
RELEASES = "/api/v1/review/releases"
DECISION = "/api/v1/review/visits/QVD/QVD-S01/decision"
ACCEPTED = {"decision": "accepted", "revision": 1}
CHANGE = {
    "pit": 1,
    "phase": "hand_sort",
    "group": "endogeic",
    "stage": "adult",
    "taxon": "",
    "number": 2,
}

pytestmark = pytest.mark.django_db


@pytest.fixture
def group(db: None) -> Group:  # noqa: ARG001 -- the database is needed
    """Return a group whose one visit waits for review."""
    made, caller = partner()
    sent_visit(caller, visit_of(1))
    return made


@pytest.fixture
def reviewer(db: None) -> Actor:  # noqa: ARG001 -- the database is needed
    """Return a reviewer who records nothing."""
    return holder_of(ReviewerFactory.create(code="V1"), "review")


def steward(**facts: Any) -> Actor:
    return holder_of(ReviewerFactory.create(**{"is_steward": True} | facts), "steward", "review")


def recorder_of(group: Group) -> Any:
    return group.participants.get(code="QVD-07")


@pytest.mark.usefixtures("group")
def test_waiting_visits_are_listed_with_what_the_reviewer_needs(reviewer: Actor) -> None:
    (visit,) = reviewer.get(WAITING).json()["data"]

    assert (visit["group"], visit["client_ref"], visit["revision"], visit["state"]) == (
        "QVD",
        "QVD-S01",
        1,
        "in_review",
    )
    assert visit["visited_on"] == "2025-04-12"
    assert set(visit) == {
        "group", "client_ref", "revision", "state", "visited_on", "open_questions", "reviews",
    }  # fmt: skip


def test_doubtful_visits_come_first(group: Group, reviewer: Actor) -> None:
    neighbour(group, "QVD-08")
    crowded = put(visit_of(2, participant="QVD-08"), "/pits/0/phases/0/counts/1/number", 60)
    crowded = put(crowded, "/pits/0/total", 66)
    sent_visit(holder_of(group, "submit"), crowded)

    visits = reviewer.get(WAITING).json()["data"]

    assert [visit["client_ref"] for visit in visits] == ["QVD-S02", "QVD-S01"]
    assert len(visits[0]["open_questions"]) > len(visits[1]["open_questions"])


@pytest.mark.usefixtures("group")
def test_decision_is_stored_with_its_reason(reviewer: Actor) -> None:
    body = {"decision": "asked_back", "revision": 1, "reason_code": "check-date", "message": "Hm."}

    answer = reviewer.post(DECISION, body)

    assert answer.status_code == 200
    assert (answer.json()["decision"], answer.json()["state"]) == ("asked_back", "asked_back")
    (read,) = answer.json()["reviews"]
    assert (read["reason"], read["message"]) == (REASONS["check-date"].text, "Hm.")
    assert reviewer.get(WAITING).json()["data"] == []


@pytest.mark.usefixtures("group")
def test_change_is_a_new_determination_beside_the_recorders_number(reviewer: Actor) -> None:
    body = {
        "decision": "accepted_with_change",
        "revision": 1,
        "reason_code": "colour-shows-group",
        "changes": [CHANGE],
    }

    answer = reviewer.post(DECISION, body)

    made = Determination.objects.get()
    assert answer.json()["state"] == "accepted"
    assert (made.number, made.count.number) == (2, 3)


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("body", [ACCEPTED | {"revision": 2}, ACCEPTED | {"revision": 9}])
def test_decision_on_another_revision_is_stale(reviewer: Actor, body: dict[str, Any]) -> None:
    answer = reviewer.post(DECISION, body)

    assert answer.status_code == 412
    assert (answer.json()["current"], answer.json()["state"]) == (1, "in_review")
    assert Visit.objects.get().state == VisitState.IN_REVIEW


@pytest.mark.usefixtures("group")
def test_second_decision_is_stale(reviewer: Actor) -> None:
    assert reviewer.post(DECISION, ACCEPTED).status_code == 200

    answer = reviewer.post(DECISION, ACCEPTED)

    assert (answer.status_code, answer.json()["state"]) == (412, "accepted")


@pytest.mark.parametrize("own", ["themselves", "household"])
def test_nobody_decides_on_their_own_household(group: Group, own: str) -> None:
    recorder = recorder_of(group)
    person = (
        recorder
        if own == "themselves"
        else ParticipantFactory.create(group=group, household=recorder.household)
    )
    caller = holder_of(ReviewerFactory.create(participant=person), "review")

    answer = caller.post(DECISION, ACCEPTED)

    assert answer.status_code == 403
    assert answer.json()["type"].endswith("/problems/not-allowed")
    assert caller.get(WAITING).json()["data"] == []
    assert Visit.objects.get().state == VisitState.IN_REVIEW


def test_neighbour_of_the_same_group_may_decide(group: Group) -> None:
    person = ParticipantFactory.create(group=group)
    caller = holder_of(ReviewerFactory.create(participant=person), "review")

    assert caller.post(DECISION, ACCEPTED).status_code == 200


def test_retired_reviewer_may_not_decide(group: Group) -> None:
    del group
    caller = holder_of(ReviewerFactory.create(active=False), "review")

    assert caller.post(DECISION, ACCEPTED).status_code == 403
    assert caller.get(WAITING).json()["data"] == []


def test_appeal_goes_to_another_reviewer(group: Group, reviewer: Actor) -> None:
    reviewer.post(DECISION, {"decision": "declined", "revision": 1, "reason_code": "not-sorted"})
    appealed = holder_of(group, "submit").post(
        "/api/v1/partner/visits/QVD-S01/appeal", {"text": "It was sorted."}
    )
    second = holder_of(ReviewerFactory.create(code="V2"), "review")

    assert appealed.json()["state"] == "in_review"
    assert reviewer.get(WAITING).json()["data"] == []
    assert reviewer.post(DECISION, ACCEPTED).status_code == 403
    assert second.post(DECISION, ACCEPTED).status_code == 200


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize(
    "body",
    [
        {"decision": "declined", "revision": 1},
        {"decision": "declined", "revision": 1, "reason_code": "check-date"},
        {"decision": "accepted", "revision": 1, "reason_code": "not-sorted"},
        {"decision": "accepted_with_change", "revision": 1, "reason_code": "colour-shows-group"},
        {"decision": "accepted", "revision": 1, "changes": [CHANGE]},
        {
            "decision": "accepted_with_change",
            "revision": 1,
            "reason_code": "colour-shows-group",
            "changes": [CHANGE | {"pit": 9}],
        },
    ],
)
def test_decision_that_does_not_fit_is_refused(reviewer: Actor, body: dict[str, Any]) -> None:
    answer = reviewer.post(DECISION, body)

    assert answer.status_code == 422
    assert Visit.objects.get().state == VisitState.IN_REVIEW
    assert not Determination.objects.exists()


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({"decision": "accepted"}, "/revision", "field-missing"),
        (ACCEPTED | {"decision": "maybe"}, "/decision", "word-unknown"),
        (ACCEPTED | {"revision": "1"}, "/revision", "number-not-whole"),
        (ACCEPTED | {"revision": 0}, "/revision", "number-out-of-range"),
        (ACCEPTED | {"reviewer": "V2"}, "/reviewer", "field-unknown"),
        (ACCEPTED | {"message": "x" * 2001}, "/message", "text-too-long"),
        (ACCEPTED | {"message": "a\x00b"}, "/message", "text-control-character"),
        (ACCEPTED | {"changes": [CHANGE | {"number": -1}]}, "/changes/0/number", None),
    ],
)
def test_decision_of_a_wrong_shape_is_told_where(
    reviewer: Actor, body: dict[str, Any], pointer: str, code: str | None
) -> None:
    answer = reviewer.post(DECISION, body)

    fault = answer.json()["errors"][0]
    assert (answer.status_code, fault["pointer"]) == (422, pointer)
    assert code in {None, fault["code"]}
    assert reviewer.get(fault["docs"]).status_code == 200


@pytest.mark.usefixtures("group")
def test_decision_that_is_no_json_is_400(reviewer: Actor) -> None:
    answer = reviewer.client.post(
        DECISION, "{", content_type="application/json", headers=reviewer.headers
    )

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/body-not-json")


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("who", ["QVD/QVD-S99", "XXX/QVD-S01", "QVD/a%00b"])
def test_unknown_visit_is_not_found(reviewer: Actor, who: str) -> None:
    assert reviewer.post(f"/api/v1/review/visits/{who}/decision", ACCEPTED).status_code == 404


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


def test_code_of_a_reviewer_is_on_no_answer_to_the_sender(group: Group) -> None:
    named = Reviewer.objects.create(code="V-CANARY-77")
    holder_of(named, "review").post(DECISION, ACCEPTED)

    seen = holder_of(group, "read").get("/api/v1/partner/visits/QVD-S01")

    assert seen.json()["state"] == "accepted"
    assert "CANARY" not in seen.content.decode()
