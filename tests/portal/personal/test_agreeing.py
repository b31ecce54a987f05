"""What a participant sees of their consents, and ending one of them in two steps."""

from typing import Any

import pytest

from portal.records.models import PublishedVisit, Tombstone
from surveys.people.ledger import head_of_ledger, is_proven
from surveys.people.models import Consent
from surveys.people.operations import record_consent
from tests.factories.private import NOW, load_statements
from tests.portal.personal.conftest import LinkHolder
from tests.portal.publication.villages import Household

pytestmark = pytest.mark.django_db


def agree(home: Household, purpose: str) -> None:
    load_statements()
    record_consent(
        participant=home.participant,
        purpose=purpose,
        decision="given",
        given_by="self",
        statement_version="1",
        at=NOW,
    )


def confirm(holder: LinkHolder, purpose: str) -> Any:
    return holder.browser.post(f"{holder.home}/taking-back", {"purpose": purpose})


def shown(home: Household) -> bool:
    home.visit.refresh_from_db()
    return PublishedVisit.objects.at(1).filter(id=home.visit.public_id).exists()


def test_page_tells_what_holds_and_offers_to_end_only_that(
    homes: list[Household], holder: LinkHolder
) -> None:
    agree(homes[0], "photos")

    text = holder.page()

    assert "Keep and show photos: <strong>yes</strong>" in text
    assert "Be contacted: <strong>no</strong>" in text
    assert f'href="{holder.home}/taking-back?purpose=photos">No photos</a>' in text
    assert "purpose=contact" not in text


def test_first_step_explains_and_changes_nothing(
    homes: list[Household], holder: LinkHolder
) -> None:
    before = Consent.objects.count()

    text = holder.page("/taking-back", purpose="publish")

    assert "Nothing has changed yet." in text
    assert "hidden at once" in text
    assert Consent.objects.count() == before
    assert shown(homes[0])


def test_second_step_hides_at_once_and_leaves_no_tombstone(
    homes: list[Household], holder: LinkHolder
) -> None:
    answer = confirm(holder, "publish")

    assert (answer.status_code, answer.headers["Location"]) == (303, holder.home)
    assert not shown(homes[0])
    assert not Tombstone.objects.exists()
    text = holder.page()
    assert "hidden at the moment: there is no consent to publish it." in text
    assert "Publish records, anonymous and blurred: <strong>no</strong>" in text


def test_ending_one_purpose_leaves_the_others(homes: list[Household], holder: LinkHolder) -> None:
    for purpose in ("photos", "contact"):
        agree(homes[0], purpose)

    confirm(holder, "photos")

    text = holder.page()
    assert "Keep and show photos: <strong>no</strong>" in text
    assert "Be contacted: <strong>yes</strong>" in text
    assert shown(homes[0])


@pytest.mark.parametrize("purpose", ["", "contact", "sell", "\x00"])
def test_what_was_never_agreed_cannot_be_ended(
    homes: list[Household], holder: LinkHolder, purpose: str
) -> None:
    del homes
    before = Consent.objects.count()

    assert holder.get("/taking-back", purpose=purpose).status_code == 303
    assert confirm(holder, purpose).status_code == 303

    assert Consent.objects.count() == before


def test_confirming_twice_is_one_answer(homes: list[Household], holder: LinkHolder) -> None:
    agree(homes[0], "contact")

    confirm(holder, "contact")
    confirm(holder, "contact")

    answers = homes[0].participant.consents.filter(purpose="contact").order_by("id")
    assert [one.decision for one in answers] == ["given", "withdrawn"]
    assert [one.evidence for one in answers] == ["", "online_page"]


def test_receipts_are_shown_and_sent_as_a_file(homes: list[Household], holder: LinkHolder) -> None:
    agree(homes[0], "photos")
    fingerprint = homes[0].participant.consents.get(purpose="photos").receipt_sha256

    sent = holder.get("/receipts.json")

    assert fingerprint in holder.page()
    (proof,) = sent.json()["receipts"]
    assert is_proven(proof, head_of_ledger())
    assert proof["receipt"]["sha256"] == fingerprint
    assert "attachment" in sent.headers["Content-Disposition"]
