"""Batches: sent, rehearsed, sent again, looked up."""

import json
from typing import Any

import pytest

from surveys.intake.models import Submission
from surveys.visits.models import Visit
from tests.api.holders import SUBMISSIONS, VISITS, visit_of
from tests.api.partners.conftest import Partner
from tests.factories.private import Payload, put
from tests.journeys.actors import EXAMPLE

FAULTY = put(visit_of(2), "/pits/1/phases/0/counts/0/number", -1)


def test_batch_is_stored_and_its_place_named(diggers: Partner) -> None:
    answer = diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1), visit_of(2)]})

    body = answer.json()
    assert answer.status_code == 200
    assert body["stored"] is True
    assert body["summary"] == {
        "received": 2, "stored": 2, "unchanged": 0, "rejected": 0, "queries": 0, "notes": 2,
    }  # fmt: skip
    assert [item["outcome"] for item in body["items"]] == ["stored", "stored"]
    assert [item["state"] for item in body["items"]] == ["in_review", "in_review"]
    place = f"http://localhost:8000{SUBMISSIONS}/{body['submission']}"
    assert answer.headers["Location"] == place
    read = diggers.caller.get(place).json()
    assert [visit["client_ref"] for visit in read["visits"]] == ["QVD-S01", "QVD-S02"]
    assert read["links"]["self"] == place
    assert len(read["body_sha256"]) == 64


def test_faulty_visit_is_told_where_what_and_how_to_mend(diggers: Partner) -> None:
    answer = diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1), FAULTY]})

    body = answer.json()
    (fault,) = [one for one in body["errors"] if one["severity"] == "error"]
    assert (answer.status_code, body["summary"]["rejected"]) == (200, 1)
    assert fault["pointer"] == "/visits/1/pits/1/phases/0/counts/0/number"
    assert (fault["code"], fault["received"]) == ("count-out-of-range", -1)
    assert fault["allowed"].startswith("a whole number of 0 or more")
    assert "Use 0 when you looked and found none" in fault["hint"]
    assert fault["record"] == "QVD-S02"
    assert fault["docs"] == "http://localhost:8000/problems/count-out-of-range"
    assert diggers.caller.get(fault["docs"]).status_code == 200


def test_batch_of_faulty_visits_only_is_a_problem(diggers: Partner) -> None:
    answer = diggers.caller.post(SUBMISSIONS, {"visits": [FAULTY]})

    problem = answer.json()
    assert answer.status_code == 422
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert problem["type"].endswith("/problems/invalid-records")
    assert problem["detail"].startswith("1 of 1 visits were not accepted.")
    assert problem["errors"][0]["code"] == "count-out-of-range"
    assert not Visit.objects.exists()


def test_all_or_nothing_stores_nothing(diggers: Partner) -> None:
    batch = {"visits": [visit_of(1), FAULTY]}

    answer = diggers.caller.post(f"{SUBMISSIONS}?on_error=abort", batch)

    assert (answer.status_code, answer.json()["stored"]) == (422, False)
    assert not Visit.objects.exists()
    assert not Submission.objects.exists()


def test_rehearsal_answers_the_same_and_stores_nothing(diggers: Partner) -> None:
    batch = {"visits": [visit_of(1), FAULTY]}

    rehearsed = diggers.caller.post(f"{SUBMISSIONS}?dry_run=true", batch)
    nothing = (Visit.objects.count(), Submission.objects.count())
    stored = diggers.caller.post(SUBMISSIONS, batch)

    assert nothing == (0, 0)
    assert "Location" not in rehearsed.headers
    changed = {"stored": True, "submission": stored.json()["submission"]}
    assert rehearsed.json() | changed == stored.json()
    assert rehearsed.json()["stored"] is False


@pytest.mark.parametrize(
    ("batch", "code"),
    [
        ([], "batch-shape"),
        ({}, "batch-shape"),
        ({"visits": {}}, "batch-shape"),
        ({"visits": []}, "batch-size"),
        ({"visits": [{}] * 201}, "batch-size"),
        ({"visits": [{}], "group": "OTHER"}, "field-unknown"),
    ],
)
def test_body_that_is_no_batch_is_refused(diggers: Partner, batch: Any, code: str) -> None:
    answer = diggers.caller.client.post(
        SUBMISSIONS, batch, content_type="application/json", headers=diggers.caller.headers
    )

    assert answer.status_code == 422
    assert [fault["code"] for fault in answer.json()["errors"]] == [code]


@pytest.mark.parametrize(
    "pointer",
    ["/group", "/public_id", "/state", "/note_approved", "/site/public_id", "/pits/0/public_id"],
)
def test_field_that_is_not_the_senders_is_refused(diggers: Partner, pointer: str) -> None:
    answer = diggers.caller.post(SUBMISSIONS, {"visits": [put(visit_of(1), pointer, "x")]})

    (fault,) = answer.json()["errors"]
    assert (fault["code"], fault["pointer"]) == ("field-unknown", f"/visits/0{pointer}")


def test_same_key_and_body_replay_the_stored_answer(diggers: Partner) -> None:
    batch = {"visits": [visit_of(1), FAULTY]}
    key = {"Idempotency-Key": "spring-1"}

    first = diggers.caller.post(SUBMISSIONS, batch, **key)
    again = diggers.caller.post(SUBMISSIONS, batch, **key)

    assert "Idempotent-Replayed" not in first.headers
    assert again.headers["Idempotent-Replayed"] == "true"
    assert (again.status_code, again.json()) == (first.status_code, first.json())
    assert Submission.objects.count() == 1


def test_refusal_is_replayed_too(diggers: Partner) -> None:
    key = {"Idempotency-Key": "spring-2"}

    first = diggers.caller.post(SUBMISSIONS, {"visits": [FAULTY]}, **key)
    again = diggers.caller.post(SUBMISSIONS, {"visits": [FAULTY]}, **key)

    assert again.headers["Idempotent-Replayed"] == "true"
    assert again.status_code == first.status_code == 422
    assert again.json()["errors"] == first.json()["errors"]


@pytest.mark.parametrize("query", ["", "?on_error=abort"])
def test_key_of_another_request_is_refused(diggers: Partner, query: str) -> None:
    key = {"Idempotency-Key": "spring-3"}
    other = {"visits": [visit_of(1 if query else 2)]}
    diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1)]}, **key)

    answer = diggers.caller.post(SUBMISSIONS + query, other, **key)

    assert answer.status_code == 422
    assert answer.json()["type"].endswith("/problems/idempotency-reused")
    assert Visit.objects.count() == 1


@pytest.mark.parametrize("key", ["", "x" * 129, "schlüssel", "a\tb"])
def test_key_that_is_not_usable_is_refused(diggers: Partner, key: str) -> None:
    answer = diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1)]}, **{"Idempotency-Key": key})

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/idempotency-key-wrong")
    assert not Visit.objects.exists()


def test_sending_again_changes_nothing_and_a_changed_visit_is_refused(diggers: Partner) -> None:
    diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1)]})

    again = diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1)]}).json()
    changed = diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1, people_digging=4)]})

    assert again["summary"]["unchanged"] == 1
    assert changed.status_code == 422
    (fault,) = changed.json()["errors"]
    assert fault["code"] == "ref-exists"
    assert "PUT" in fault["hint"]


@pytest.mark.parametrize(
    ("query", "parameter", "code"),
    [
        ("dry_run=yes", "dry_run", "parameter-wrong"),
        ("on_error=stop", "on_error", "parameter-wrong"),
        ("dryrun=true", "dryrun", "parameter-unknown"),
    ],
)
def test_wrong_parameter_is_refused_before_anything_is_stored(
    diggers: Partner, query: str, parameter: str, code: str
) -> None:
    answer = diggers.caller.post(f"{SUBMISSIONS}?{query}", {"visits": [visit_of(1)]})

    assert answer.status_code == 400
    assert answer.json()["type"].endswith(f"/problems/{code}")
    assert answer.json()["parameter"] == parameter
    assert not Visit.objects.exists()


def test_submissions_are_listed_newest_first_in_pages(
    diggers: Partner, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.partners.submissions.PAGE", 2)
    sent = [
        diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(number)]}).json()["submission"]
        for number in (1, 2, 3)
    ]

    pages = list(diggers.caller.pages(SUBMISSIONS))

    assert [[one["id"] for one in page["data"]] for page in pages] == [sent[:0:-1], sent[:1]]
    assert diggers.caller.get(f"{SUBMISSIONS}?before=17").status_code == 404
    assert diggers.caller.get(f"{SUBMISSIONS}?after=17").status_code == 400


def test_visits_can_be_chosen_by_state(diggers: Partner) -> None:
    diggers.caller.post(SUBMISSIONS, {"visits": [visit_of(1), visit_of(2)]})
    Visit.objects.filter(client_ref="QVD-S02").update(state="accepted")

    def refs(query: str) -> list[str]:
        return [row["client_ref"] for row in diggers.caller.get(VISITS + query).json()["data"]]

    assert refs("") == ["QVD-S02", "QVD-S01"]
    assert refs("?state=accepted") == ["QVD-S02"]
    assert refs("?state=declined") == []
    assert diggers.caller.get(f"{VISITS}?state=lost").status_code == 400


def test_protocols_are_given_as_data(diggers: Partner) -> None:
    data = diggers.caller.get("/api/v1/partner/protocols").json()["data"]

    names = [f"{one['key']}/{one['version']}" for one in data]
    assert names == ["contrast-pit/1", "contrast-pit/2", "school-pit/1", "species-pit/1"]
    assert all(one["cautions"] and one["categories"] for one in data)


def test_documented_example_is_taken(diggers: Partner) -> None:
    batch: Payload = json.loads(EXAMPLE.read_text())
    batch["visits"][0]["participant"] = "QVD-07"

    answer = diggers.caller.post(f"{SUBMISSIONS}?dry_run=true", batch)

    assert answer.json()["summary"]["rejected"] == 0
