"""Participants and their consent to publication."""

from typing import Any

import pytest
from django.utils import timezone

from surveys.people.models import Consent, Participant
from surveys.people.receipts import is_whole
from tests.api.holders import VISITS, sent_visit, visit_of
from tests.api.partners.conftest import Partner

BASE = "/api/v1/partner/participants"


def answer_of(decision: str = "given", **changes: Any) -> dict[str, Any]:
    answer = {
        "purpose": "publish",
        "decision": decision,
        "given_by": "self",
        "statement_version": "1",
    }
    return answer | changes


def registration(decision: str = "given", **changes: Any) -> dict[str, Any]:
    return {"household": "house-8", "consents": [answer_of(decision)]} | changes


def asked(place: int = 0, **changes: Any) -> dict[str, Any]:
    """Return a registration with one answer that is right, and one at a place that may not be."""
    answers = [answer_of("refused", purpose="contact")]
    answers.insert(place, answer_of(**changes))
    return registration(consents=answers)


def test_participant_is_registered_without_a_name(diggers: Partner) -> None:
    answer = diggers.caller.put(f"{BASE}/QVD-08", registration())

    body = answer.json()
    assert (answer.status_code, body["code"], body["household"]) == (200, "QVD-08", "house-8")
    assert [(one["purpose"], one["decision"]) for one in body["consents"]] == [("publish", "given")]
    assert Participant.objects.get(code="QVD-08").name == ""
    assert body.items() >= diggers.caller.get(f"{BASE}/QVD-08").json().items()


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
        (registration("perhaps"), "/consents/0/decision", "word-unknown"),
        (registration(consents=None), "/consents", "value-not-allowed"),
        (asked(given_by=1), "/consents/0/given_by", "word-unknown"),
        (asked(purpose="sell"), "/consents/0/purpose", "word-unknown"),
        (asked(evidence="rumour"), "/consents/0/evidence", "word-unknown"),
        (asked(giver="aunt"), "/consents/0/giver", "value-not-allowed"),
        (asked(giver="Mara Quill", given_by="guardian"), "/consents/0/giver", "code-not-allowed"),
        (asked(ends_on="soon"), "/consents/0/ends_on", "date-not-readable"),
        (asked(answered_at="2025-01-01T00:00:00"), "/consents/0/answered_at", "value-not-allowed"),
        (asked(answered_at="2999-01-01T00:00:00Z"), "/consents/0/answered_at", "answer-in-future"),
        (asked(1, statement_version="9"), "/consents/1/statement_version", "statement-unknown"),
        (asked(1, language="fr"), "/consents/1/language", "statement-unknown"),
        (
            asked(1, given_by="guardian") | {"born_on": "1980-01-01"},
            "/consents/1/given_by",
            "guardian-of-adult",
        ),
        (
            asked(1, evidence="online_page") | {"born_on": f"{timezone.now().year - 10}-01-01"},
            "/consents/1/evidence",
            "too-young-online",
        ),
        (asked(purpose="be_named"), "/shown_name", "name-missing"),
        (registration(shown_name="Mara | Tom"), "/shown_name", "code-not-allowed"),
        (registration(orcid="0000-0002-1825-0098"), "/orcid", "orcid-wrong"),
        (registration(born_on="2000-01-01", of_age_by="2020-01-01"), "/of_age_by", "age-two-ways"),
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


def test_withdrawal_is_kept_as_the_no_of_who_asked(diggers: Partner) -> None:
    body = {"reason_class": "consent_withdrawn", "asked_by": "guardian"}

    answer = diggers.caller.post(f"{BASE}/QVD-07/withdrawal", body)
    wrong = diggers.caller.post(f"{BASE}/QVD-07/withdrawal", body | {"asked_by": "neighbour"})

    last = answer.json()["consents"][-1]
    assert (last["decision"], last["given_by"]) == ("withdrawn", "guardian")
    assert (wrong.status_code, wrong.json()["parameter"]) == (400, "asked_by")
    assert Consent.objects.count() == 2


def test_answers_for_a_child_need_both_keys(diggers: Partner) -> None:
    young = {"born_on": f"{timezone.now().year - 10}-01-01"}
    guardian = answer_of(given_by="guardian", giver="first", evidence="paper_form")
    child = answer_of(evidence="spoken", evidence_ref="talk-2", language="de")

    one_key = diggers.caller.put(f"{BASE}/QVD-08", registration(consents=[guardian], **young))
    both = diggers.caller.put(f"{BASE}/QVD-08", registration(consents=[guardian, child]))

    assert one_key.json()["in_force"]["publish"] is False
    assert both.json()["in_force"]["publish"] is True
    assert [(one["given_by"], one["giver"]) for one in both.json()["consents"]] == [
        ("guardian", "first"),
        ("self", ""),
    ]


def test_receipts_come_for_the_answers_that_were_added(diggers: Partner) -> None:
    first = diggers.caller.put(f"{BASE}/QVD-08", registration()).json()
    again = diggers.caller.put(f"{BASE}/QVD-08", registration()).json()

    assert [is_whole(receipt) for receipt in first["receipts"]] == [True]
    assert first["receipts"][0]["participant"] == "QVD/QVD-08"
    assert again["receipts"] == []


def test_form_of_an_earlier_day_counts_from_that_day(diggers: Partner) -> None:
    signed = answer_of(answered_at="2025-03-01T10:00:00+02:00", ends_on="2040-01-01")

    body = diggers.caller.put(f"{BASE}/QVD-08", registration(consents=[signed])).json()

    assert body["consents"][0]["decided_at"] == "2025-03-01T08:00:00Z"
    assert body["consents"][0]["ends_on"] == "2040-01-01"


def test_what_is_left_out_stays_and_birthday_replaces_vouching(diggers: Partner) -> None:
    facts = {"of_age_by": "2020-01-01", "shown_name": "M. Quill", "orcid": "0000-0002-1825-0097"}
    diggers.caller.put(f"{BASE}/QVD-08", registration(**facts))

    body = diggers.caller.put(f"{BASE}/QVD-08", registration(born_on="1980-05-01")).json()

    assert (body["born_on"], body["of_age_by"]) == ("1980-05-01", None)
    assert (body["shown_name"], body["orcid"]) == ("M. Quill", "0000-0002-1825-0097")


def test_naming_beside_an_own_garden_is_warned_of(diggers: Partner) -> None:
    sent_visit(diggers.caller, visit_of(1))
    named = [answer_of(), answer_of(purpose="be_named")]
    body = {"household": "house-7", "consents": named, "shown_name": "M. Quill"}

    at_home = diggers.caller.put(f"{BASE}/QVD-07", body).json()
    elsewhere = diggers.caller.put(f"{BASE}/QVD-08", body).json()

    assert ["garden" in warning for warning in at_home["warnings"]] == [True]
    assert elsewhere["warnings"] == []


def test_unknown_parameter_is_refused(diggers: Partner) -> None:
    assert diggers.caller.get(f"{BASE}/QVD-07?colour=red").status_code == 400
    assert diggers.caller.put(f"{BASE}/QVD-08?dry=1", registration()).status_code == 400
