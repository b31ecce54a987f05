"""The history of a participant's answers, and what is asked."""

import pytest

from surveys.people.models import ConsentPurpose
from surveys.people.receipts import is_whole
from tests.api.partners.conftest import Partner

BASE = "/api/v1/partner"


def test_history_has_every_answer_with_its_receipt(diggers: Partner) -> None:
    said = {"purpose": "photos", "given_by": "self", "statement_version": "1", "language": "en"}
    for decision in ("given", "withdrawn"):
        body = {"household": "house-8", "consents": [said | {"decision": decision}]}
        diggers.caller.put(f"{BASE}/participants/QVD-08", body)

    told = diggers.caller.get(f"{BASE}/participants/QVD-08/consents").json()

    assert [one["decision"] for one in told["data"]] == ["given", "withdrawn"]
    assert all(is_whole(one["receipt"]) for one in told["data"])
    assert told["in_force"] == dict.fromkeys(ConsentPurpose.values, False)


def test_receipt_of_the_history_is_the_one_that_was_given(diggers: Partner) -> None:
    said = {"purpose": "publish", "decision": "given", "given_by": "self", "statement_version": "1"}
    body = {"household": "house-8", "consents": [said]}
    given = diggers.caller.put(f"{BASE}/participants/QVD-08", body).json()["receipts"]

    told = diggers.caller.get(f"{BASE}/participants/QVD-08/consents").json()

    assert [one["receipt"] for one in told["data"]] == given
    assert told["in_force"]["publish"] is True


@pytest.mark.parametrize(("lang", "words"), [("", "May we"), ("?lang=de", "Dürfen wir")])
def test_statements_are_told_in_the_language_asked_for(
    diggers: Partner, lang: str, words: str
) -> None:
    told = diggers.caller.get(f"{BASE}/consent-statements{lang}").json()["data"]

    assert {one["purpose"] for one in told} == set(ConsentPurpose.values)
    (publish,) = [one for one in told if one["purpose"] == "publish"]
    assert publish["question"].startswith(words)
    assert (publish["version"], publish["meaning"]) == ("1", 1)
    assert publish["for_children"]


@pytest.mark.parametrize("query", ["lang=fr", "language=de"])
def test_other_question_is_refused(diggers: Partner, query: str) -> None:
    assert diggers.caller.get(f"{BASE}/consent-statements?{query}").status_code == 400


def test_history_of_nobody_is_not_found(diggers: Partner) -> None:
    assert diggers.caller.get(f"{BASE}/participants/QVD-99/consents").status_code == 404
    assert diggers.caller.get(f"{BASE}/participants/QVD-07/consents?x=1").status_code == 400
