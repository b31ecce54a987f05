"""Receipts under one root that everybody may know."""

import pytest
from django.core.management import call_command

from surveys.people.ledger import Head, head_of_ledger, is_proven, with_proofs
from surveys.people.models import Participant
from surveys.people.operations import record_consent
from surveys.people.receipts import Receipt, receipt_of
from tests.factories.private import NOW, ParticipantFactory, load_statements

pytestmark = pytest.mark.django_db


def answers(number: int) -> list[Receipt]:
    load_statements()
    return [
        receipt_of(
            record_consent(
                participant=ParticipantFactory.create(),
                purpose="publish",
                decision="given",
                given_by="self",
                statement_version="1",
                at=NOW,
            )
        )
        for _ in range(number)
    ]


def test_every_receipt_is_proven_by_a_root_that_was_made_known() -> None:
    receipts = answers(5)
    known = head_of_ledger()

    told = with_proofs(receipts)

    assert (told["size"], told["root"]) == (known.size, known.root)
    assert [is_proven(proof, known) for proof in told["receipts"]] == [True] * 5


def test_changed_receipt_is_proven_by_nothing() -> None:
    receipts = answers(3)
    known = head_of_ledger()
    proof = with_proofs(receipts)["receipts"][1]

    assert not is_proven(proof | {"receipt": proof["receipt"] | {"decision": "refused"}}, known)
    assert not is_proven(proof | {"index": 0}, known)
    assert not is_proven(proof, Head(known.size, "0" * 64))


def test_root_knows_only_what_was_there_when_it_was_made() -> None:
    answers(2)
    early = head_of_ledger()
    late = answers(1)

    assert not is_proven(with_proofs(late)["receipts"][0], early)


def test_root_outlives_the_erasure_of_a_person() -> None:
    receipts = answers(2)
    known = head_of_ledger()

    Participant.objects.all().delete()

    assert head_of_ledger() == known
    assert all(is_proven(proof, known) for proof in with_proofs(receipts)["receipts"])


def test_command_tells_number_and_root(capsys: pytest.CaptureFixture[str]) -> None:
    answers(2)

    call_command("receiptroot")

    day, size, root = capsys.readouterr().out.split()
    assert (len(day), size, root) == (10, "2", head_of_ledger().root)
