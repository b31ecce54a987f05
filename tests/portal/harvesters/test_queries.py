"""Who has confirmed a withdrawal, and who is behind."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from portal.harvesters.models import Acknowledgement, Harvester
from portal.harvesters.operations import acknowledge, leave, register
from portal.harvesters.queries import (
    Confirmation,
    confirmations_of,
    harvester_of,
    standings,
    withdrawal_entry_of,
)
from portal.records.operations import add_entry
from tests.factories.published import ChangeEntryFactory, ReleaseFactory, TombstoneFactory

AT = datetime(2026, 1, 5, 12, tzinfo=UTC)

pytestmark = pytest.mark.django_db


def joins(name: str) -> Harvester:
    return register(name=name, contact="harvest@example.org", homepage="", at=AT)[0]


def release(number: int) -> int:
    made = ReleaseFactory.create(number=number)
    return add_entry(at=made.issued_at, release=made).number


def withdrawal(**facts: object) -> int:
    return int(TombstoneFactory.create(**facts).entry_id)


def test_entry_of_a_withdrawal_is_found_by_the_record() -> None:
    release(1)
    gone = uuid4()

    entry = withdrawal(id=gone)

    assert (withdrawal_entry_of(gone), withdrawal_entry_of(uuid4())) == (entry, None)


def test_first_confirmation_counts_and_who_has_not_confirmed_is_named() -> None:
    release(1)
    early, silent = joins("Early"), joins("Silent")
    gone = withdrawal()
    acknowledge(harvester=early, entry=gone, at=AT + timedelta(hours=1))
    later = release(2)
    acknowledge(harvester=early, entry=later, at=AT + timedelta(hours=2))
    acknowledge(harvester=silent, entry=gone - 1, at=AT)

    assert confirmations_of(gone) == [
        Confirmation("Early", AT + timedelta(hours=1)),
        Confirmation("Silent", None),
    ]


def test_confirming_a_later_entry_confirms_the_earlier_ones() -> None:
    harvester = joins("Leaps")
    gone = withdrawal()
    acknowledge(harvester=harvester, entry=release(1), at=AT)

    assert confirmations_of(gone) == [Confirmation("Leaps", AT)]


def test_only_those_who_could_have_had_the_record_are_expected() -> None:
    left_before, left_after = joins("Left before"), joins("Left after")
    release(1)
    leave(harvester=left_before)
    gone = withdrawal()
    joins("Came after")
    leave(harvester=left_after)

    assert confirmations_of(gone) == [Confirmation("Left after", None)]


def test_those_behind_come_first_with_what_they_owe_since_when() -> None:
    upto = release(1)
    keen, lazy, newcomer = joins("Keen"), joins("Lazy"), None
    acknowledge(harvester=lazy, entry=upto, at=AT)
    gone = withdrawal()
    acknowledge(harvester=keen, entry=gone, at=AT + timedelta(days=1))
    newcomer = joins("Newcomer")
    last = release(2)
    acknowledge(harvester=keen, entry=last, at=AT + timedelta(days=2))

    found = {one.harvester: one for one in standings()}

    assert [one.name for one in found] == ["Lazy", "Newcomer", "Keen"]
    assert (found[lazy].entries_owed, found[lazy].withdrawals_owed) == (2, 1)
    assert (found[lazy].entry, found[lazy].acknowledged_at) == (upto, AT)
    assert found[lazy].behind_since == datetime(2025, 7, 3, 14, tzinfo=UTC)
    assert (found[newcomer].entries_owed, found[newcomer].withdrawals_owed) == (1, 0)
    assert (found[newcomer].entry, found[newcomer].acknowledged_at) == (0, None)
    assert (found[keen].entries_owed, found[keen].behind_since) == (0, None)
    assert found[keen].acknowledged_at == AT + timedelta(days=2)


def test_who_left_is_no_longer_behind() -> None:
    harvester = joins("Left")
    release(1)
    leave(harvester=harvester)

    assert standings() == []


def test_token_is_known_until_it_is_given_up() -> None:
    harvester, secret = register(name="A", contact="a@example.org", homepage="", at=AT)

    assert harvester_of(secret) == harvester
    assert harvester_of(secret + "x") is None
    leave(harvester=harvester)
    assert harvester_of(secret) is None


def test_confirmations_only_go_forward() -> None:
    harvester = joins("A")
    entries = [ChangeEntryFactory.create().number for _ in range(3)]

    news = [acknowledge(harvester=harvester, entry=entry, at=AT) for entry in (0, *entries, 2, 3)]

    assert news == [False, True, True, True, False, False]
    assert list(Acknowledgement.objects.values_list("entry", flat=True)) == entries
    assert str(Acknowledgement.objects.all()[0]) == "A up to 1"


def test_database_keeps_no_contact_of_who_left() -> None:
    harvester = joins("A")

    with transaction.atomic(), pytest.raises(IntegrityError):
        Harvester.objects.filter(pk=harvester.pk).update(left_after=0, sha256=None)
