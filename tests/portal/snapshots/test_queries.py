"""What becomes of the rows of a snapshot."""

from uuid import uuid4

import pytest
from django.core.cache import cache

from portal.records.changes import ADDED, REMOVED, TABLE_OF
from portal.records.models import HidingNote, PublishedCount, PublishedVisit
from portal.snapshots.queries import (
    ChangedWhileReadError,
    Standing,
    checked,
    every_row,
    rows_between,
    standing_of,
)
from tests.factories.published import (
    ChangeEntryFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    SmallRelease,
    TombstoneFactory,
    small_release,
)
from tests.portal.snapshots.freezing import frozen, lines

pytestmark = pytest.mark.django_db


@pytest.fixture
def small() -> SmallRelease:
    """Return a release of a garden and a school, and forget what is known of others."""
    cache.clear()
    return small_release()


def withdraw(*counts: PublishedCount) -> None:
    """Withdraw counts in one act."""
    entry = ChangeEntryFactory.create()
    for count in counts:
        TombstoneFactory.create(id=count.id, kind="occurrence", entry=entry)
        PublishedCount.objects.filter(id=count.id).delete()


def hide(visit: PublishedVisit, *, away: bool = True) -> None:
    """Hide all rows of a visit in one act, or show them again."""
    entry = ChangeEntryFactory.create()
    for kind, table in TABLE_OF.items():
        rows = table.objects.filter(visit_id=visit.id)
        rows.update(hidden=away)
        change = REMOVED if away else ADDED
        for row in rows:
            HidingNote.objects.create(entry=entry, kind=kind, record=row.id, change=change)


def test_untouched_snapshot_is_whole(small: SmallRelease) -> None:
    snapshot = frozen(small.release)

    assert standing_of(snapshot) == Standing((), 0)
    assert standing_of(snapshot).is_whole
    found = checked(snapshot, lines)
    assert (found.rows, found.sha256, found.withdrawn) == (32, snapshot.sha256, 0)


def test_withdrawn_rows_are_named_and_only_those_of_the_snapshot(small: SmallRelease) -> None:
    lawn = [count for count in small.counts if count.habitat == "lawn"]
    other = next(count for count in small.counts if count.habitat == "hedge")
    earlier = small.counts.pop(small.counts.index(lawn.pop(0)))
    withdraw(earlier)
    snapshot = frozen(small.release, habitat="lawn")
    before = standing_of(snapshot)

    withdraw(lawn[3], other)
    withdraw(lawn[0])

    assert before.is_whole
    assert standing_of(snapshot) == Standing((lawn[3].id, lawn[0].id), 0, untouched=False)
    found = checked(snapshot, lines)
    assert (found.rows, found.withdrawn) == (len(lawn) - 2, 2)
    assert found.sha256 != snapshot.sha256


def test_rows_come_again_in_their_order_without_the_withdrawn(small: SmallRelease) -> None:
    snapshot = frozen(small.release)
    ids = sorted(count.id for count in small.counts)

    withdraw(next(count for count in small.counts if count.id == ids[1]))

    assert [row.id for row in every_row(snapshot)] == ids[:1] + ids[2:]
    assert [row.id for row in rows_between(snapshot, 0, 3)] == [ids[0], ids[2]]


def test_hidden_rows_are_counted_not_named_and_may_come_back(small: SmallRelease) -> None:
    snapshot = frozen(small.release)
    garden = small.visits[0]
    of_garden = [count for count in small.counts if count.visit_id == garden.id]

    hide(garden)
    hidden = standing_of(snapshot)
    rows = len(list(every_row(snapshot)))
    hide(garden, away=False)

    assert hidden == Standing((), len(of_garden), untouched=False)
    assert rows == len(small.counts) - len(of_garden)
    assert standing_of(snapshot).is_whole
    assert checked(snapshot, lines).sha256 == snapshot.sha256


def test_rows_that_were_hidden_when_it_was_made_never_join_it(small: SmallRelease) -> None:
    garden = small.visits[0]
    hide(garden)
    snapshot = frozen(small.release, "visits")

    hide(garden, away=False)

    assert [row.id for row in every_row(snapshot)] == [small.visits[1].id]
    assert standing_of(snapshot).is_whole


def test_hidden_row_that_is_withdrawn_later_is_named(small: SmallRelease) -> None:
    snapshot = frozen(small.release, visit_id=small.visits[0].id)
    hide(small.visits[0])
    one, *others = [row for row in small.counts if row.visit_id == small.visits[0].id]

    withdraw(one)

    assert standing_of(snapshot) == Standing((one.id,), len(others), untouched=False)


def test_later_release_changes_nothing(small: SmallRelease) -> None:
    snapshot = frozen(small.release, "visits")

    later = ReleaseFactory.create(number=2)
    ChangeEntryFactory.create(release=later)
    old = small.visits[0]
    PublishedVisit.objects.filter(row=old.row).update(until_release=2)
    PublishedVisitFactory.create(id=old.id, since_release=2, people_digging=9)
    PublishedVisitFactory.create(since_release=2)

    assert standing_of(snapshot).is_whole
    assert {row.people_digging for row in every_row(snapshot)} == {2, None}
    assert checked(snapshot, lines).sha256 == snapshot.sha256


def test_stream_gives_what_it_fetched_from_one_state(small: SmallRelease) -> None:
    snapshot = frozen(small.release)
    reading = every_row(snapshot)
    next(reading)

    withdraw(small.counts[0])

    assert 1 + len(list(reading)) == 32
    assert len(list(every_row(snapshot))) == 31


def test_act_between_two_fetches_ends_the_stream(
    small: SmallRelease, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("portal.snapshots.queries._FETCHED_AT_ONCE", 10)
    snapshot = frozen(small.release)
    reading = every_row(snapshot)
    next(reading)

    withdraw(small.counts[0])

    with pytest.raises(ChangedWhileReadError):
        list(reading)


def test_tombstone_of_another_kind_or_id_is_not_the_snapshots(small: SmallRelease) -> None:
    snapshot = frozen(small.release)

    entry = ChangeEntryFactory.create()
    TombstoneFactory.create(id=uuid4(), kind="occurrence", entry=entry)
    TombstoneFactory.create(id=small.visits[0].id, kind="visit", entry=entry)

    assert standing_of(snapshot).is_whole
