"""A visit before a reviewer: reading, claiming, and giving an opinion."""

from typing import Any

import pytest

from surveys.moderation.models import ReviewClaim
from surveys.moderation.reasons import REASONS
from surveys.people.models import Group, Reviewer
from surveys.visits.models import Determination, Visit, VisitState
from tests.api.holders import VISITS, holder_of, visit_of
from tests.api.review.deciding import DECISION, current_tag, decide
from tests.factories.private import ParticipantFactory, ReviewerFactory
from tests.journeys.actors import Actor

WAITING = "/api/v1/review/waiting"
VISIT = "/api/v1/review/visits/QVD/QVD-S01"
ACCEPTED = {"decision": "accepted"}
FIRST_REVISION = {"If-Match": '"revision-1"'}
CHANGE = {
    "pit": 1,
    "phase": "hand_sort",
    "group": "endogeic",
    "stage": "adult",
    "taxon": "",
    "number": 2,
}

pytestmark = pytest.mark.django_db


def corrected(group: Group) -> None:
    caller = holder_of(group, "submit")
    answer = caller.put(f"{VISITS}/QVD-S01", visit_of(1, note="Mended."), **FIRST_REVISION)
    assert answer.status_code == 200, answer.json()


def recorder_of(group: Group) -> Any:
    return group.participants.get(code="QVD-07")


@pytest.mark.usefixtures("group")
def test_decision_is_stored_with_its_reason(reviewer: Actor) -> None:
    body = {"decision": "asked_back", "reason_code": "check-date", "message": "Hm."}

    answer = decide(reviewer, body)

    assert answer.status_code == 200
    assert (answer.json()["decision"], answer.json()["state"]) == ("asked_back", "asked_back")
    (read,) = answer.json()["reviews"]
    assert (read["reason"], read["message"]) == (REASONS["check-date"].text, "Hm.")
    assert reviewer.get(WAITING).json()["data"] == []


@pytest.mark.usefixtures("group")
def test_change_is_a_new_determination_beside_the_recorders_number(reviewer: Actor) -> None:
    body = {
        "decision": "accepted_with_change",
        "reason_code": "colour-shows-group",
        "changes": [CHANGE],
    }

    answer = decide(reviewer, body)

    made = Determination.objects.get()
    assert answer.json()["state"] == "accepted"
    assert (made.number, made.count.number) == (2, 3)


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("tag", ['"revision-1"', "é", '"' + "0" * 24 + '"'])
def test_decision_on_no_version_of_the_visit_is_stale(reviewer: Actor, tag: str) -> None:
    answer = decide(reviewer, ACCEPTED, tag)

    assert (answer.status_code, answer.json()["state"]) == (412, "in_review")
    assert answer.json()["current"] == answer.headers["ETag"] == current_tag()
    assert [one["what"] for one in answer.json()["happened"]] == ["received"]
    assert Visit.objects.get().state == VisitState.IN_REVIEW


@pytest.mark.usefixtures("group")
def test_decision_without_a_version_is_refused(reviewer: Actor) -> None:
    answer = reviewer.post(DECISION, ACCEPTED)

    assert answer.status_code == 428
    assert answer.json()["type"].endswith("/problems/revision-missing")


@pytest.mark.usefixtures("group")
def test_second_decision_is_told_who_was_first_and_what_they_decided(reviewer: Actor) -> None:
    other, tag = holder_of(ReviewerFactory.create(code="V2"), "review"), current_tag()
    decide(other, {"decision": "declined", "reason_code": "not-sorted"}, tag)

    answer = decide(reviewer, ACCEPTED, tag)

    assert (answer.status_code, answer.json()["state"]) == (412, "declined")
    (happened,) = answer.json()["happened"]
    assert (happened["what"], happened["by"], happened["decision"]) == (
        "reviewed",
        "V2",
        "declined",
    )
    assert happened["at"].endswith("Z")


def test_decision_on_a_corrected_visit_is_told_of_the_correction(
    group: Group, reviewer: Actor
) -> None:
    tag = current_tag()
    corrected(group)

    answer = decide(reviewer, ACCEPTED, tag)

    assert answer.status_code == 412
    (happened,) = answer.json()["happened"]
    assert (happened["what"], happened["revision"], happened["by"]) == ("corrected", 2, "")


@pytest.mark.parametrize("own", ["themselves", "household"])
def test_nobody_decides_on_their_own_household(group: Group, own: str) -> None:
    recorder = recorder_of(group)
    person = (
        recorder
        if own == "themselves"
        else ParticipantFactory.create(group=group, household=recorder.household)
    )
    caller = holder_of(ReviewerFactory.create(participant=person), "review")

    answer = decide(caller, ACCEPTED)

    assert answer.status_code == 403
    assert answer.json()["type"].endswith("/problems/not-allowed")
    assert caller.get(WAITING).json()["data"] == []
    assert Visit.objects.get().state == VisitState.IN_REVIEW


def test_neighbour_of_the_same_group_may_decide(group: Group) -> None:
    person = ParticipantFactory.create(group=group)
    caller = holder_of(ReviewerFactory.create(participant=person), "review")

    assert decide(caller, ACCEPTED).status_code == 200


def test_retired_reviewer_may_not_decide(group: Group) -> None:
    del group
    caller = holder_of(ReviewerFactory.create(active=False), "review")

    assert decide(caller, ACCEPTED).status_code == 403
    assert caller.get(WAITING).json()["data"] == []


def test_appeal_goes_to_another_reviewer(group: Group, reviewer: Actor) -> None:
    decide(reviewer, {"decision": "declined", "reason_code": "not-sorted"})
    appealed = holder_of(group, "submit").post(
        "/api/v1/partner/visits/QVD-S01/appeal", {"text": "It was sorted."}
    )
    second = holder_of(ReviewerFactory.create(code="V2"), "review")

    assert appealed.json()["state"] == "in_review"
    assert reviewer.get(WAITING).json()["data"] == []
    assert decide(reviewer, ACCEPTED).status_code == 403
    assert decide(second, ACCEPTED).status_code == 200


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize(
    "body",
    [
        {"decision": "declined"},
        {"decision": "declined", "reason_code": "check-date"},
        {"decision": "accepted", "reason_code": "not-sorted"},
        {"decision": "accepted_with_change", "reason_code": "colour-shows-group"},
        {"decision": "accepted", "changes": [CHANGE]},
        {
            "decision": "accepted_with_change",
            "reason_code": "colour-shows-group",
            "changes": [CHANGE | {"pit": 9}],
        },
    ],
)
def test_decision_that_does_not_fit_is_refused(reviewer: Actor, body: dict[str, Any]) -> None:
    answer = decide(reviewer, body)

    assert answer.status_code == 422
    assert Visit.objects.get().state == VisitState.IN_REVIEW
    assert not Determination.objects.exists()


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({}, "/decision", "field-missing"),
        (ACCEPTED | {"decision": "maybe"}, "/decision", "word-unknown"),
        (ACCEPTED | {"revision": 1}, "/revision", "field-unknown"),
        (ACCEPTED | {"reviewer": "V2"}, "/reviewer", "field-unknown"),
        (ACCEPTED | {"message": "x" * 2001}, "/message", "text-too-long"),
        (ACCEPTED | {"message": "a\x00b"}, "/message", "text-control-character"),
        (ACCEPTED | {"changes": [CHANGE | {"number": -1}]}, "/changes/0/number", None),
    ],
)
def test_decision_of_a_wrong_shape_is_told_where(
    reviewer: Actor, body: dict[str, Any], pointer: str, code: str | None
) -> None:
    answer = decide(reviewer, body)

    fault = answer.json()["errors"][0]
    assert (answer.status_code, fault["pointer"]) == (422, pointer)
    assert code in {None, fault["code"]}
    assert reviewer.get(fault["docs"]).status_code == 200


@pytest.mark.usefixtures("group")
def test_decision_that_is_no_json_is_400(reviewer: Actor) -> None:
    answer = reviewer.client.post(
        DECISION,
        "{",
        content_type="application/json",
        headers=reviewer.headers | {"If-Match": current_tag()},
    )

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/body-not-json")


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("who", ["QVD/QVD-S99", "XXX/QVD-S01", "QVD/a%00b"])
def test_unknown_visit_is_not_found(reviewer: Actor, who: str) -> None:
    assert reviewer.post(f"/api/v1/review/visits/{who}/decision", ACCEPTED).status_code == 404


def test_code_of_a_reviewer_is_on_no_answer_to_the_sender(group: Group) -> None:
    named = Reviewer.objects.create(code="V-CANARY-77")
    decide(holder_of(named, "review"), ACCEPTED)

    seen = holder_of(group, "read").get("/api/v1/partner/visits/QVD-S01")

    assert seen.json()["state"] == "accepted"
    assert "CANARY" not in seen.content.decode()


@pytest.mark.usefixtures("group")
def test_visit_is_read_as_it_was_sent_with_all_that_the_checks_said(reviewer: Actor) -> None:
    answer = reviewer.get(VISIT)

    body = answer.json()
    assert answer.headers["ETag"] == body["etag"] == current_tag()
    sent = visit_of(1)
    assert body["facts"]["latitude"] == sent["site"]["latitude"]
    assert body["facts"]["pits"][0]["phases"][0]["counts"][1]["number"] == 3
    assert len(body["checks"]) == len({check["label"] for check in body["checks"]}) > 20
    assert body["opinions"] == []
    assert "participant_code" not in body["facts"]


def test_visit_of_the_own_household_is_not_read(group: Group) -> None:
    caller = holder_of(ReviewerFactory.create(participant=recorder_of(group)), "review")

    assert caller.get(VISIT).status_code == 403


@pytest.mark.usefixtures("group")
def test_claimed_visit_is_the_claimers_until_they_let_go(reviewer: Actor) -> None:
    other = holder_of(ReviewerFactory.create(code="V2"), "review")

    claimed = reviewer.post(f"{VISIT}/claim")

    assert claimed.json()["expires_at"].endswith("Z")
    assert other.get(WAITING).json()["data"] == []
    refused = [other.post(f"{VISIT}/claim"), decide(other, ACCEPTED)]
    assert [answer.status_code for answer in refused] == [409, 409]
    assert [answer.json()["until"] for answer in refused] == [claimed.json()["expires_at"]] * 2
    assert other.delete(f"{VISIT}/claim").status_code == 204  # their own: there is none
    assert decide(other, ACCEPTED).status_code == 409
    assert reviewer.delete(f"{VISIT}/claim").status_code == 204
    assert decide(other, ACCEPTED).status_code == 200


@pytest.mark.usefixtures("group")
def test_claim_tells_no_version_and_ends_with_the_decision(reviewer: Actor) -> None:
    before = current_tag()

    assert reviewer.post(f"{VISIT}/claim").headers["ETag"] == before
    assert decide(reviewer, ACCEPTED, before).status_code == 200
    assert not ReviewClaim.objects.exists()
    assert reviewer.post(f"{VISIT}/claim").status_code == 412


def test_nobody_claims_a_visit_of_their_own_household(group: Group) -> None:
    caller = holder_of(ReviewerFactory.create(participant=recorder_of(group)), "review")

    assert caller.post(f"{VISIT}/claim").status_code == 403


@pytest.fixture
def drawn(settings: Any) -> None:
    """Draw every visit for a second look."""
    settings.SECOND_LOOK_SHARE = 1.0


@pytest.mark.usefixtures("group", "drawn")
def test_second_look_is_blind(reviewer: Actor) -> None:
    body = {"decision": "declined", "reason_code": "not-sorted", "message": "zqfirstword"}
    untouched, other = reviewer.get(VISIT), holder_of(ReviewerFactory.create(code="V2"), "review")

    first = decide(reviewer, body)

    assert (first.json()["standing"], first.json()["state"]) == ("held", "in_review")
    seen = other.get(VISIT)
    hidden = {"etag": "", "links": {}}
    assert seen.json() | hidden == untouched.json() | hidden
    assert "zqfirstword" not in other.get(WAITING).content.decode()
    late = decide(other, ACCEPTED, untouched.headers["ETag"])
    assert late.status_code == 412
    (happened,) = late.json()["happened"]
    assert (happened["by"], happened["decision"]) == ("V1", "")


@pytest.mark.usefixtures("drawn")
def test_sender_reads_nothing_of_an_opinion_that_is_held(group: Group, reviewer: Actor) -> None:
    sender = holder_of(group, "read")
    before = sender.get(f"{VISITS}/QVD-S01").json()

    decide(reviewer, {"decision": "declined", "reason_code": "not-sorted"})

    assert sender.get(f"{VISITS}/QVD-S01").json() == before


@pytest.mark.usefixtures("group", "drawn")
def test_third_reviewer_reads_both_opinions_and_decides(reviewer: Actor) -> None:
    second, third = (holder_of(ReviewerFactory.create(code=c), "review") for c in ("V2", "V3"))
    decide(reviewer, {"decision": "declined", "reason_code": "not-sorted"})

    assert decide(second, ACCEPTED).json()["standing"] == "held"
    opinions = third.get(VISIT).json()["opinions"]
    assert [opinion["decision"] for opinion in opinions] == ["declined", "accepted"]
    assert not any("reviewer" in opinion for opinion in opinions)
    assert decide(second, ACCEPTED).status_code == 403
    decided = decide(third, ACCEPTED).json()
    assert (decided["standing"], decided["state"]) == ("deciding", "accepted")
