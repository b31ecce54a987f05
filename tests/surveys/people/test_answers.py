"""Which answers about consent are taken, and the receipts for them."""

import hashlib
import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from surveys.audit.models import AuditEntry
from surveys.people.models import Consent, Participant
from surveys.people.operations import AnswerNotTaken, HowAnswered, record_consent
from surveys.people.receipts import as_text, entry_of, is_whole, receipt_of
from tests.factories.private import NOW, GroupFactory, ParticipantFactory, load_statements

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def words(db: None) -> None:  # noqa: ARG001 -- the database is needed
    """Store the statements."""
    load_statements()


def said(who: Participant | None = None, at: datetime = NOW, **facts: Any) -> Consent:
    defaults = {
        "purpose": "publish",
        "decision": "given",
        "given_by": "self",
        "statement_version": "1",
    }
    return record_consent(
        participant=who or ParticipantFactory.create(), at=at, **(defaults | facts)
    )


@pytest.mark.parametrize(
    ("person", "facts", "code", "field"),
    [
        ({}, {"statement_version": "9"}, "statement-unknown", "statement_version"),
        ({}, {"at": NOW - 300 * DAY}, "statement-unknown", "statement_version"),
        ({}, {"how": HowAnswered(language="fr")}, "statement-unknown", "language"),
        (
            {"born_on": date(2007, 4, 14)},
            {"given_by": "guardian"},
            "guardian-of-adult",
            "given_by",
        ),
        ({"of_age_by": NOW.date()}, {"given_by": "guardian"}, "guardian-of-adult", "given_by"),
        (
            {"born_on": date(2009, 4, 15)},
            {"how": HowAnswered(evidence="online_page")},
            "too-young-online",
            "evidence",
        ),
        (
            {"group__is_of_children": True},
            {"how": HowAnswered(evidence="online_page")},
            "too-young-online",
            "evidence",
        ),
    ],
)
def test_yes_that_cannot_count_is_not_taken(
    person: dict[str, Any], facts: dict[str, Any], code: str, field: str
) -> None:
    who = ParticipantFactory.create(**person)

    with pytest.raises(AnswerNotTaken) as refused:
        said(who, **facts)

    assert (refused.value.code, refused.value.field) == (code, field)
    assert not Consent.objects.exists()


@pytest.mark.parametrize(
    ("person", "facts"),
    [
        ({"born_on": date(2007, 4, 15)}, {"given_by": "guardian"}),
        ({"born_on": date(2009, 4, 14)}, {"how": HowAnswered(evidence="online_page")}),
        ({"born_on": date(2014, 4, 14)}, {"how": HowAnswered(evidence="paper_form")}),
        ({}, {"how": HowAnswered(language="de", evidence="spoken", evidence_ref="talk-7")}),
    ],
)
def test_yes_that_may_count_is_taken(person: dict[str, Any], facts: dict[str, Any]) -> None:
    assert said(ParticipantFactory.create(**person), **facts).pk is not None


@pytest.mark.parametrize("decision", ["refused", "withdrawn", "pending"])
def test_no_is_taken_whatever_it_refers_to(decision: str) -> None:
    grown = ParticipantFactory.create(born_on=date(1980, 1, 1))

    made = said(grown, decision=decision, given_by="guardian", statement_version="")

    assert made.pk is not None


def test_receipt_tells_what_was_agreed_and_its_hash_can_be_computed_by_anybody() -> None:
    who = ParticipantFactory.create(group=GroupFactory.create(code="QVD"), code="P-1")
    how = HowAnswered(language="de", evidence="paper_form", evidence_ref="folder-3")

    receipt = receipt_of(said(who, ends_on=date(2026, 1, 1), how=how))

    told = {name: value for name, value in receipt.items() if name != "sha256"}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert receipt["sha256"] == hashlib.sha256(text.encode()).hexdigest()
    assert (receipt["participant"], receipt["purpose"], receipt["decision"]) == (
        "QVD/P-1",
        "publish",
        "given",
    )
    assert (receipt["decided_at"], receipt["ends_on"]) == (
        "2025-04-14T09:00:00.000000Z",
        "2026-01-01",
    )
    assert (receipt["language"], receipt["evidence"], receipt["evidence_ref"]) == (
        "de",
        "paper_form",
        "folder-3",
    )
    assert len(receipt["statement_sha256"]) == 64


def test_receipt_of_a_stored_answer_is_the_one_that_was_given() -> None:
    made = said()

    stored = Consent.objects.select_related("participant__group").get(pk=made.pk)

    assert receipt_of(stored) == receipt_of(made)
    assert receipt_of(stored)["sha256"] == stored.receipt_sha256


def test_same_answer_twice_has_two_hashes() -> None:
    who = ParticipantFactory.create()

    assert said(who).receipt_sha256 != said(who).receipt_sha256


def test_every_change_of_a_receipt_shows() -> None:
    receipt = receipt_of(said())
    assert is_whole(receipt)

    for name in receipt:
        assert not is_whole(receipt | {name: "other"}), name
        assert not is_whole({key: receipt[key] for key in receipt if key != name}), name
    assert not is_whole(receipt | {"more": 1})


def test_trail_knows_the_receipt_and_no_other() -> None:
    receipt = receipt_of(said())

    entry = entry_of(receipt)

    assert entry is not None
    assert entry.action == "consent given"
    assert entry_of(receipt | {"sha256": "0" * 64}) is None


def test_text_shows_every_fact_and_the_fingerprint() -> None:
    receipt = receipt_of(said())

    text = as_text(receipt)

    assert all(str(value) in text for value in receipt.values() if value)


def test_command_tells_whole_changed_unknown_and_broken_apart(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = said()
    receipt = receipt_of(made)
    file = tmp_path / "receipt.json"

    def check(told: object) -> None:
        file.write_text(json.dumps(told))
        call_command("checkreceipt", str(file))

    check(receipt)
    assert "WHOLE: given on 2025-04-14" in capsys.readouterr().out
    with pytest.raises(CommandError, match="CHANGED"):
        check(receipt | {"decision": "refused"})
    with pytest.raises(CommandError, match="holds no receipt"):
        check([receipt])
    made.receipt_salt = "0" * 32  # a receipt that somebody made up
    with pytest.raises(CommandError, match="UNKNOWN"):
        check(receipt_of(made))
    AuditEntry.objects.update(actor="somebody else")
    with pytest.raises(CommandError, match="BROKEN"):
        check(receipt)
    file.write_text("no json")
    with pytest.raises(CommandError, match="no JSON"):
        call_command("checkreceipt", str(file))
