"""Participants and their consent to publication."""

from typing import Any

import pytest

from surveys.people.models import Consent, Participant
from tests.api.holders import VISITS, sent_visit, visit_of
from tests.api.partners.conftest import Partner

BASE = "/api/v1/partner/participants"


def registration(decision: str = "given", **changes: Any) -> dict[str, Any]:
    consent = {"decision": decision, "given_by": "self", "statement_version": "2"}
    return {"household": "house-8", "consent_to_publish": consent} | changes


def test_participant_is_registered_without_a_name(diggers: Partner) -> None:
    answer = diggers.caller.put(f"{BASE}/QVD-08", registration())

    body = answer.json()
    assert (answer.status_code, body["code"], body["household"]) == (200, "QVD-08", "house-8")
    assert [(one["purpose"], one["decision"]) for one in body["consents"]] == [("publish", "given")]
    assert Participant.objects.get(code="QVD-08").name == ""
    assert diggers.caller.get(f"{BASE}/QVD-08").json() == body


def test_consent_is_a_history_that_grows_only_by_another_answer(diggers: Partner) -> None:
    for decision in ("given", "given", "refused", "given"):
        body = diggers.caller.put(f"{BASE}/QVD-08", registration(decision)).json()

    assert [one["decision"] for one in body["consents"]] == ["given", "refused", "given"]


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({}, "/household", "field-missing"),
        (registration(name="Mara Quill"), "/name", "field-unknown"),
        (registration(household=""), "/household", "code-not-allowed"),
        (registration(household="a\x00b"), "/household", "text-control-character"),
        (registration("perhaps"), "/consent_to_publish/decision", "word-unknown"),
        (registration(consent_to_publish=None), "/consent_to_publish", "value-not-allowed"),
        (
            registration(consent_to_publish=registration()["consent_to_publish"] | {"given_by": 1}),
            "/consent_to_publish/given_by",
            "word-unknown",
        ),
    ],
)
def test_faulty_registration_is_refused(
    diggers: Partner, body: Any, pointer: str, code: str
) -> None:
    answer = diggers.caller.put(f"{BASE}/QVD-08", body)

    assert answer.status_code == 422
    fault = answer.json()["errors"][0]
    assert (fault["pointer"], fault["code"]) == (pointer, code)
    assert diggers.caller.get(fault["docs"]).status_code == 200
    assert not Participant.objects.filter(code="QVD-08").exists()


@pytest.mark.parametrize("code", ["a b", "x" * 41, "-a", "%C3%A9", "a%00b"])
def test_code_that_cannot_be_stored_is_refused(diggers: Partner, code: str) -> None:
    answer = diggers.caller.put(f"{BASE}/{code}", registration())

    assert answer.status_code == 400
    assert Participant.objects.count() == 1


def test_participant_of_nobody_is_not_found(diggers: Partner) -> None:
    assert diggers.caller.get(f"{BASE}/QVD-99").status_code == 404
    body = {"reason_class": "consent_withdrawn"}
    assert diggers.caller.post(f"{BASE}/QVD-99/withdrawal", body).status_code == 404


def test_withdrawal_ends_consent_and_takes_every_visit(diggers: Partner) -> None:
    sent_visit(diggers.caller, visit_of(1))
    sent_visit(diggers.caller, visit_of(2))

    answer = diggers.caller.post(f"{BASE}/QVD-07/withdrawal", {"reason_class": "consent_withdrawn"})

    assert answer.status_code == 200
    assert answer.json()["consents"][-1]["decision"] == "withdrawn"
    states = {visit["state"] for visit in diggers.caller.get(VISITS).json()["data"]}
    assert states == {"withdrawn"}
    assert Consent.objects.count() == 2
