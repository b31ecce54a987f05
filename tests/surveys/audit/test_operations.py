"""The chain of the trail, and what becomes visible when somebody touches it."""

import hashlib
import json
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from django.db import connection, transaction

from surveys.audit.models import AuditEntry
from surveys.audit.operations import first_broken_entry, record
from tests.factories.private import NOW

pytestmark = pytest.mark.django_db


def note(action: str = "visit accepted", **facts: Any) -> AuditEntry:
    usual: dict[str, Any] = {"actor": "office", "kind": "visit", "key": "V", "at": NOW}
    return record(**usual | facts, action=action)


def three_notes() -> list[AuditEntry]:
    return [note("first"), note("second", reason="double"), note("third")]


def test_entry_says_who_did_what_to_which_record() -> None:
    note(actor="reviewer R-1", kind="visit", key="QVD/V-1", revision=2, reason="double")

    entry = AuditEntry.objects.get()

    assert (entry.at, entry.actor, entry.action) == (NOW, "reviewer R-1", "visit accepted")
    assert (entry.subject_kind, entry.subject_key) == ("visit", "QVD/V-1")
    assert entry.detail == {"revision": 2, "reason": "double"}


def test_each_entry_carries_the_hash_of_the_one_before() -> None:
    entries = three_notes()

    links = [entry.previous_hash for entry in entries]

    assert links == ["", entries[0].entry_hash, entries[1].entry_hash]
    assert len({entry.entry_hash for entry in entries}) == 3


def test_hash_can_be_recomputed_by_anyone() -> None:
    note("first")
    entry = note("second", at=datetime(2025, 4, 14, 11, 30, 0, 5, tzinfo=UTC), reason="double")

    # FIPS 180-4 names SHA-256; the text hashed is ours: seven facts as JSON.
    facts = [
        entry.previous_hash,
        "2025-04-14T11:30:00.000005+00:00",
        "office",
        "second",
        "visit",
        "V",
        {"reason": "double"},
    ]
    assert entry.entry_hash == hashlib.sha256(json.dumps(facts).encode()).hexdigest()


def test_untouched_trail_is_whole() -> None:
    three_notes()
    note("told in another zone", at=NOW.astimezone(timezone(timedelta(hours=5))))
    note("nested detail", scopes=["read", "submit"], counts={"b": 1, "a": [None, 2.5, "é"]})

    assert first_broken_entry() is None


def test_empty_trail_is_whole() -> None:
    assert first_broken_entry() is None


@pytest.mark.parametrize(
    "change",
    [
        {"actor": "somebody else"},
        {"action": "visit declined"},
        {"subject_kind": "group"},
        {"subject_key": "V-2"},
        {"detail": {}},
        {"at": NOW + timedelta(microseconds=1)},
        {"previous_hash": ""},
        {"entry_hash": "a" * 64},
    ],
    ids=lambda change: next(iter(change)),
)
def test_changed_entry_is_found(change: dict[str, Any]) -> None:
    _, touched, _ = three_notes()

    AuditEntry.objects.filter(pk=touched.pk).update(**change)

    assert first_broken_entry() == touched


@pytest.mark.parametrize(("removed", "told"), [(0, 1), (1, 2)])
def test_removed_entry_is_found_by_the_one_after_it(removed: int, told: int) -> None:
    entries = three_notes()

    AuditEntry.objects.filter(pk=entries[removed].pk).delete()

    assert first_broken_entry() == entries[told]


def test_act_that_fails_leaves_no_entry() -> None:
    note("first")

    with transaction.atomic():
        note("second")
        transaction.set_rollback(True)
    note("third")

    assert [entry.action for entry in AuditEntry.objects.all()] == ["first", "third"]
    assert first_broken_entry() is None


def in_thread(work: Callable[[], object]) -> threading.Thread:
    def run() -> None:
        with transaction.atomic():
            work()
        connection.close()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    return thread


@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite has one writer at a time")
@pytest.mark.django_db(transaction=True)
def test_two_writers_at_once_do_not_fork_the_chain() -> None:
    note_in_peace = transaction.atomic(note)
    note_in_peace("first")
    with transaction.atomic():
        note("second")
        other = in_thread(lambda: note("third"))
        other.join(timeout=0.5)  # it must wait for us: a fork would be written by now
        waited = other.is_alive()
    other.join(timeout=10)

    assert waited
    assert [entry.action for entry in AuditEntry.objects.all()] == ["first", "second", "third"]
    assert first_broken_entry() is None
