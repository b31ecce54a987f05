"""Correcting many visits at once."""

import json
from typing import Any

import pytest

from surveys.checks.models import CheckOutcome
from surveys.intake.models import Submission, SubmissionItem
from surveys.people.models import Group
from surveys.visits.models import Pit, Visit
from tests.api.holders import VISITS, holder_of, neighbour, partner, sent_visit, visit_of
from tests.factories.private import Payload, put
from tests.journeys.actors import Actor

CORRECTIONS = "/api/v1/partner/corrections"
REHEARSAL = f"{CORRECTIONS}?dry_run=true"
ALL = f"{CORRECTIONS}?on_error=abort"

pytestmark = pytest.mark.django_db


@pytest.fixture
def caller() -> Actor:
    """Return a group that sent three visits."""
    group, made = partner()
    for number in (1, 2, 3):
        neighbour(group, f"QVD-1{number}")
        sent_visit(made, original(number))
    return made


def original(number: int) -> Payload:
    return visit_of(number, participant=f"QVD-1{number}")


def mended(number: int) -> Payload:
    """Return a visit with one animal more and another number of people."""
    payload = put(original(number), "/pits/0/phases/0/counts/1/number", 4)
    return put(payload, "/pits/0/total", 10) | {"people_digging": 3}


def wrong(number: int) -> Payload:
    return put(original(number), "/pits/0/phases/0/counts/1/number", -1)


def correction(visit: Payload, revision: int = 1) -> dict[str, Any]:
    return {"revision": revision, "visit": visit}


def sent(caller: Actor, address: str, *corrections: Any) -> Any:
    return caller.post(address, {"corrections": list(corrections)})


def revisions() -> dict[str, int]:
    return dict(Visit.objects.values_list("client_ref", "revision"))


def outcomes(answer: Any) -> list[str]:
    return [item["outcome"] for item in answer.json()["items"]]


def errors(answer: Any) -> list[dict[str, Any]]:
    """Return what kept a correction out; that it comes late is only a note."""
    return [fault for fault in answer.json()["errors"] if fault["severity"] == "error"]


def test_corrections_are_next_revisions_and_the_earlier_stay(caller: Actor) -> None:
    answer = sent(caller, CORRECTIONS, correction(mended(1)), correction(mended(2)))

    assert answer.status_code == 200
    assert answer.json()["summary"] == {
        "received": 2, "corrected": 2, "unchanged": 0, "rejected": 0,
    }  # fmt: skip
    assert revisions() == {"QVD-S01": 2, "QVD-S02": 2, "QVD-S03": 1}
    visit = Visit.objects.get(client_ref="QVD-S01")
    assert set(visit.pits.values_list("revision", flat=True)) == {1, 2}
    assert CheckOutcome.objects.filter(visit=visit, revision=2).exists()
    kept = Submission.objects.latest("id")
    assert json.loads(bytes(kept.body)) == {
        "corrections": [correction(mended(1)), correction(mended(2))]
    }
    assert list(kept.items.values_list("client_ref", "outcome")) == [
        ("QVD-S01", "corrected"),
        ("QVD-S02", "corrected"),
    ]


def test_answer_tells_each_field_that_changed(caller: Actor) -> None:
    (item,) = sent(caller, CORRECTIONS, correction(mended(1))).json()["items"]

    assert item["changed"] == [
        {"field": "people_digging", "before": 2, "after": 3},
        {"field": "pits/1/total", "before": 9, "after": 10},
        {"field": "pits/1/hand_sort/endogeic adult", "before": 3, "after": 4},
    ]
    assert item["revision"] == 2


def test_rehearsal_answers_the_same_and_stores_nothing(caller: Actor) -> None:
    corrections = [correction(mended(1)), correction(wrong(2))]
    before = (revisions(), Pit.objects.count(), Submission.objects.count())

    rehearsed = sent(caller, REHEARSAL, *corrections)

    assert (revisions(), Pit.objects.count(), Submission.objects.count()) == before
    stored = sent(caller, CORRECTIONS, *corrections)
    assert rehearsed.json() | {"stored": True} == stored.json()
    assert (rehearsed.json()["stored"], stored.json()["stored"]) == (False, True)


def test_faults_point_into_the_body_and_the_others_are_stored(caller: Actor) -> None:
    answer = sent(caller, CORRECTIONS, correction(wrong(1)), correction(mended(2)))

    assert (answer.status_code, outcomes(answer)) == (200, ["rejected", "corrected"])
    (fault,) = errors(answer)
    assert fault["pointer"] == "/corrections/0/visit/pits/0/phases/0/counts/1/number"
    assert fault["hint"]
    assert revisions()["QVD-S01"] == 1


def test_all_or_nothing_stores_nothing_when_one_is_wrong(caller: Actor) -> None:
    answer = sent(caller, ALL, correction(mended(1)), correction(wrong(2)))

    assert (answer.status_code, answer.json()["stored"]) == (422, False)
    assert answer.json()["type"].endswith("/problems/invalid-records")
    assert set(revisions().values()) == {1}
    assert not SubmissionItem.objects.filter(outcome="corrected").exists()
    assert sent(caller, ALL, correction(mended(1)), correction(mended(2))).status_code == 200


def test_correction_of_another_revision_is_refused(caller: Actor) -> None:
    sent(caller, CORRECTIONS, correction(mended(1)))
    newer = mended(1) | {"people_digging": 4}

    answer = sent(caller, CORRECTIONS, correction(newer), correction(mended(2)))

    assert outcomes(answer) == ["rejected", "corrected"]
    (fault,) = errors(answer)
    assert (fault["code"], fault["pointer"]) == ("revision-stale", "/corrections/0/revision")
    assert answer.json()["items"][0]["revision"] == 2
    assert caller.get(fault["docs"]).status_code == 200


def test_same_request_again_is_unchanged(caller: Actor) -> None:
    for expected in ("corrected", "unchanged"):
        assert outcomes(sent(caller, CORRECTIONS, correction(mended(1)))) == [expected]

    assert revisions()["QVD-S01"] == 2


@pytest.mark.parametrize(
    ("visit", "code"),
    [
        (original(1) | {"client_ref": "QVD-S99"}, "ref-unknown"),
        ({}, "ref-unknown"),
        ("x", "ref-unknown"),
    ],
)
def test_visit_that_was_not_sent_is_told(caller: Actor, visit: Any, code: str) -> None:
    answer = sent(caller, CORRECTIONS, correction(visit))

    assert answer.status_code == 422
    assert [fault["code"] for fault in errors(answer)] == [code]


def test_visit_named_twice_is_corrected_once(caller: Actor) -> None:
    answer = sent(caller, CORRECTIONS, correction(mended(1)), correction(original(1), 2))

    assert outcomes(answer) == ["corrected", "rejected"]
    assert [fault["code"] for fault in errors(answer)] == ["ref-twice"]


def test_withdrawn_visit_takes_no_correction(caller: Actor) -> None:
    Visit.objects.filter(client_ref="QVD-S01").update(state="withdrawn")

    answer = sent(caller, CORRECTIONS, correction(mended(1)))

    assert [fault["code"] for fault in errors(answer)] == ["visit-closed"]


def test_visit_of_another_group_is_as_unknown_as_none(caller: Actor) -> None:
    del caller
    stranger = partner("OTHER")[1]

    answer = sent(stranger, CORRECTIONS, correction(mended(1)))

    assert [fault["code"] for fault in errors(answer)] == ["ref-unknown"]


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"corrections": []},
        {"corrections": {}},
        {"corrections": [{"visit": {}}]},
        {"corrections": [{"revision": "1", "visit": {}}]},
        {"corrections": [{"revision": True, "visit": {}}]},
        {"corrections": [{"revision": 1, "visit": {}}] * 201},
        {"corrections": [{"revision": 1, "visit": {}}], "more": 1},
    ],
)
def test_body_of_another_shape_is_told_how(caller: Actor, body: Any) -> None:
    answer = caller.post(CORRECTIONS, body)

    assert answer.status_code == 422
    assert [fault["code"] for fault in errors(answer)] == ["corrections-shape"]


def test_unknown_parameter_and_no_json_are_refused(caller: Actor) -> None:
    assert caller.post(f"{CORRECTIONS}?dryrun=true", {}).status_code == 400
    answer = caller.client.post(
        CORRECTIONS, "{", content_type="application/json", headers=caller.headers
    )
    assert answer.status_code == 400


def test_corrected_visits_wait_for_review_again(caller: Actor) -> None:
    Visit.objects.update(state="accepted")

    sent(caller, CORRECTIONS, correction(mended(1)))

    assert caller.get(f"{VISITS}/QVD-S01").json()["state"] == "in_review"
    assert Group.objects.get().visits.filter(state="accepted").count() == 2


def test_token_that_may_only_read_corrects_nothing(caller: Actor) -> None:
    del caller
    reader = holder_of(Group.objects.get(), "read")

    assert sent(reader, CORRECTIONS, correction(mended(1))).status_code == 403
