"""Acts are numbered in the order of their commits, whatever happens at the same time."""

import threading
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, connection, transaction

from portal.records.changes import Position, read_feed
from portal.records.models import ChangeEntry, PublishedVisit, Release
from portal.records.operations import add_entry, hold_feed
from tests.factories.published import (
    ChangeEntryFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    TombstoneFactory,
)

ROUNDS = 6


@pytest.mark.django_db
def test_entries_are_numbered_from_one_without_gaps() -> None:
    release = ReleaseFactory.create(number=1)

    first = add_entry(at=release.issued_at, release=release)
    with transaction.atomic():
        add_entry(at=release.issued_at)
        transaction.set_rollback(True)
    second = add_entry(at=release.issued_at)

    assert (first.number, second.number) == (1, 2)
    assert (first.release, second.release) == (release, None)


@pytest.mark.django_db
def test_release_has_one_entry() -> None:
    release = ReleaseFactory.create(number=1)
    add_entry(at=release.issued_at, release=release)

    with pytest.raises(IntegrityError), transaction.atomic():
        add_entry(at=release.issued_at, release=release)


def issue(number: int) -> None:
    """Make a release of three visits, as long as it takes."""
    with transaction.atomic():
        hold_feed()
        release = ReleaseFactory.create(number=Release.objects.count() + 1)
        add_entry(at=release.issued_at + timedelta(days=number), release=release)
        PublishedVisitFactory.create_batch(3, since_release=release.number)


def take_out(_: int) -> None:
    """Withdraw one visit."""
    with transaction.atomic():
        hold_feed()
        visit = PublishedVisit.objects.order_by("row").last()
        if visit is not None:
            entry = ChangeEntryFactory.create()
            TombstoneFactory.create(id=visit.id, entry=entry)
            PublishedVisit.objects.filter(row=visit.row).delete()


def in_a_thread(act: Any) -> threading.Thread:
    """Run something several times on a connection of its own."""

    def run() -> None:
        try:
            for number in range(ROUNDS):
                act(number)
        finally:
            connection.close()

    return threading.Thread(target=run)


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time")
@pytest.mark.django_db(transaction=True)
def test_nothing_is_lost_while_releases_and_withdrawals_are_made() -> None:
    issue(0)
    writers = [in_a_thread(act) for act in (issue, issue, take_out)]
    held: set[UUID] = set()
    heard: list[tuple[int, UUID, str]] = []
    position = Position()

    for writer in writers:
        writer.start()
    while any(writer.is_alive() for writer in writers) or read_feed(position, limit=1).changes:
        page = read_feed(position, limit=2)
        for one in page.changes:
            (held.add if one.change == "added" else held.discard)(one.id)
            heard.append((one.entry.number, one.id, one.change))
        position = page.position
    for writer in writers:
        writer.join()

    numbers = list(ChangeEntry.objects.values_list("number", flat=True))
    assert numbers == list(range(1, 1 + 1 + 3 * ROUNDS))
    assert held == set(PublishedVisit.objects.values_list("id", flat=True))
    assert len(heard) == len(set(heard))
    assert [entry for entry, _, _ in heard] == sorted(entry for entry, _, _ in heard)
