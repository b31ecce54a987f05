"""Two who withdraw at the same time."""

import threading
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.utils import timezone

from portal.personal.leaving import withdraw_everything, withdraw_one
from portal.publication.withdrawal import ReasonClass, withdraw_participant
from portal.records.operations import add_entry
from surveys.audit.models import AuditEntry
from surveys.people.links import issue_link
from surveys.people.models import Consent, PersonalLink
from tests.portal.publication.villages import village, village_group

pytestmark = [
    pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite has one writer at a time"),
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def link() -> PersonalLink:
    """Return the link of a participant with one accepted visit."""
    with transaction.atomic():
        add_entry(at=timezone.now())  # who withdraws or releases waits at the first entry
    (home,) = village(village_group(), range(1))
    return new_link(PersonalLink(participant=home.participant))


def new_link(link: PersonalLink) -> PersonalLink:
    made, _ = issue_link(
        participant=link.participant, lifetime=timedelta(days=7), at=timezone.now(), by="group QVD"
    )
    return made


def by_link(link: PersonalLink) -> None:
    withdraw_everything(link=link, at=timezone.now())


def one_by_link(link: PersonalLink) -> None:
    withdraw_one(link=link, reference="V00", at=timezone.now())


def by_group(link: PersonalLink) -> None:
    withdraw_participant(
        participant=link.participant,
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=timezone.now(),
        by="group QVD",
    )


def at_once(first: Callable[[], object], second: Callable[[], object]) -> bool:
    """Do the second while the first is under way; return whether it had to wait."""

    def run() -> None:
        second()
        connection.close()

    with transaction.atomic():
        first()
        other = threading.Thread(target=run, daemon=True)
        other.start()
        other.join(timeout=0.5)
        waited = other.is_alive()
    other.join(timeout=20)
    assert not other.is_alive()
    return waited


@pytest.mark.parametrize("first", [by_link, by_group], ids=["same link", "group"])
@pytest.mark.parametrize("second", [by_link, one_by_link], ids=["everything", "one"])
def test_second_click_waits_and_finds_it_done(
    link: PersonalLink,
    first: Callable[[PersonalLink], None],
    second: Callable[[PersonalLink], None],
) -> None:
    assert at_once(lambda: first(link), lambda: second(link))

    assert AuditEntry.objects.filter(action="visit withdrawn").count() == 1
    assert Consent.objects.filter(decision="withdrawn").count() == 1


def test_new_link_waits_for_the_withdrawal_by_the_older_one(link: PersonalLink) -> None:
    assert at_once(lambda: by_link(link), lambda: new_link(link))

    older, newer = PersonalLink.objects.all()
    assert older.used_at is not None
    assert older.revoked_at is not None
    assert (newer.used_at, newer.revoked_at) == (None, None)
