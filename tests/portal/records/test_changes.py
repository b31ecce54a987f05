"""The feed of changes, and the difference of two releases.

What must be true is the project's own contract, "each change exactly once"; the walk below is
checked against the rows that a reader of the newest release sees.
"""

import random
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from portal.publication import operations, withdrawal
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.changes import (
    KIND_ORDER,
    TABLE_OF,
    Change,
    FeedPage,
    Position,
    read_feed,
    release_changes,
)
from portal.records.models import ChangeEntry, HidingNote, PublishedVisit, Release, Tombstone
from portal.records.operations import add_entry
from surveys.visits.models import Visit
from tests.factories.published import (
    ChangeEntryFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    TombstoneFactory,
)
from tests.portal.publication.villages import FIRST_AT, household, release, village, village_group

pytestmark = pytest.mark.django_db


def lives(*spans: tuple[int, int | None], hidden: bool = False) -> UUID:
    """Make the versions of one visit; return its id."""
    visit_id = uuid4()
    for since, until in spans:
        PublishedVisitFactory.create(
            id=visit_id, since_release=since, until_release=until, hidden=hidden
        )
    return visit_id


def issue(number: int) -> ChangeEntry:
    made = ReleaseFactory.create(number=number)
    return add_entry(at=made.issued_at, release=made)


def everything(limit: int = 1000, position: Position | None = None) -> list[Change]:
    """Read to the end."""
    found: list[Change] = []
    page = FeedPage([], position or Position(), more=True)
    while page.more:
        page = read_feed(page.position, limit=limit)
        assert len(page.changes) <= limit
        found += page.changes
    return found


def told(changes: list[Change]) -> list[tuple[int, str, UUID, str]]:
    return [(one.entry.number, one.kind, one.id, one.change) for one in changes]


def test_changes_tell_added_changed_and_removed_apart() -> None:
    added, changed, removed = lives((2, None)), lives((1, 2), (2, None)), lives((1, 2))
    lives((1, None))
    lives((1, 2), hidden=True)
    back = lives((1, 2), (3, None))

    changes = list(release_changes(2, "visit"))

    assert dict(changes) == {
        added: "added", changed: "changed", removed: "removed", back: "removed"
    }  # fmt: skip
    assert changes == sorted(changes)
    assert list(release_changes(3, "visit")) == [(back, "added")]


def test_changes_of_a_large_release_are_read_piece_by_piece(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("portal.records.changes.CHUNK", 1)
    made = {lives((1, 2), (2, None)) for _ in range(9)}

    assert [record for record, _ in release_changes(2, "visit")] == sorted(made)


def test_feed_is_empty_before_the_first_release() -> None:
    assert read_feed(Position(), limit=5) == FeedPage([], Position(), more=False)


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 8, 1000])
def test_feed_comes_in_order_whatever_the_page(limit: int) -> None:
    for number in (1, 2):
        issue(number)
    visits = sorted(lives((1, 2), (2, None)) for _ in range(12))
    pit = PublishedPitFactory.create(since_release=2).id
    gone = TombstoneFactory.create(kind="occurrence").id

    found = told(everything(limit))

    assert found == [
        *((1, "visit", visit, "added") for visit in visits),
        *((2, "visit", visit, "changed") for visit in visits),
        (2, "pit", pit, "added"),
        (3, "occurrence", gone, "withdrawn"),
    ]


def test_position_at_the_end_waits_for_the_next_entry() -> None:
    issue(1)
    lives((1, None))
    end = read_feed(Position(), limit=10)
    assert not end.more
    assert read_feed(end.position, limit=10) == FeedPage([], end.position, more=False)

    stone = TombstoneFactory.create()

    assert [one.stone for one in everything(position=end.position)] == [stone]


def test_entry_counts_as_done_only_when_it_was_read_to_its_end() -> None:
    issue(1)
    lives((1, None))
    lives((1, None))

    half = read_feed(Position(), limit=1)
    whole = read_feed(half.position, limit=1)

    assert (half.more, half.position.done) == (True, 0)
    assert (whole.more, whole.position.done) == (False, 1)


def test_entry_without_changes_is_passed() -> None:
    for number in (1, 2, 3):
        issue(number)
    record = lives((3, None))

    assert told(read_feed(Position(), limit=1).changes) == [(3, "visit", record, "added")]


def test_withdrawn_record_that_was_not_read_yet_is_told_as_withdrawn_only() -> None:
    issue(1)
    first, second = sorted([lives((1, None)), lives((1, None))])
    page = read_feed(Position(), limit=1)
    assert [one.id for one in page.changes] == [first]

    PublishedVisit.objects.filter(id=second).delete()
    TombstoneFactory.create(id=second)

    assert told(everything(position=page.position)) == [(2, "visit", second, "withdrawn")]


def test_note_outweighs_what_the_versions_say() -> None:
    issue(1)
    entry = issue(2)
    record = lives((1, 2), (2, None))
    HidingNote.objects.create(entry=entry, kind="visit", record=record, change="added")

    assert told(everything()) == [(1, "visit", record, "added"), (2, "visit", record, "added")]


Held = dict[tuple[str, UUID], dict[str, Any]]


def visible() -> Held:
    """Return what a reader of the newest release sees."""
    return {
        (kind, row["id"]): row
        for kind, table in TABLE_OF.items()
        for row in table.objects.current().filter(hidden=False).values()
    }


class Copy:
    """A reader who keeps a copy by the feed alone."""

    def __init__(self) -> None:
        self.position = Position()
        self.held: Held = {}
        self.heard: list[tuple[int, str, UUID, str]] = []

    def pull(self, limit: int) -> bool:
        """Apply one page; tell whether there was more."""
        page = read_feed(self.position, limit=limit)
        now = visible()
        for change in page.changes:
            key = (change.kind, change.id)
            if change.change in {"added", "changed"}:
                self.held[key] = now.get(key, {})
            else:
                self.held.pop(key, None)
        self.heard += told(page.changes)
        self.position = page.position
        return page.more


class Village:
    """Households that join, change, leave and withdraw at random; three share the cell at least."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.group = village_group()
        self.houses = len(village(self.group, range(5)))
        self.days = 0
        release(1)

    def act(self) -> None:
        """Do one thing."""
        acts: list[Callable[[], Any]] = [
            self.join, self.correct, self.leave, self.withdraw, self.withdraw, self.release,
        ]  # fmt: skip
        self.chance.choice(acts)()

    def someone(self) -> Visit:
        """Return a visit that was not withdrawn."""
        return self.chance.choice(list(Visit.objects.exclude(state="withdrawn").order_by("id")))

    def join(self) -> None:
        """Let a household join."""
        household(self.group, self.houses)
        self.houses += 1

    def correct(self) -> None:
        """Let the next release change a visit."""
        one = self.someone()
        Visit.objects.filter(pk=one.pk).update(people_digging=self.chance.randint(3, 9))

    def leave(self) -> None:
        """Take a visit back into review, or accept it again."""
        one = self.someone()
        state = "in_review" if one.state == "accepted" else "accepted"
        Visit.objects.filter(pk=one.pk).update(state=state)

    def withdraw(self) -> None:
        """Withdraw a visit."""
        self.days += 1
        withdraw_visits(
            visits=[self.someone()],
            reason_class=ReasonClass.ERASURE,
            at=FIRST_AT + timedelta(days=self.days),
            by="test",
        )
        self.join()

    def release(self) -> None:
        """Make a release."""
        release(Release.objects.count() + 1)


@pytest.fixture
def no_files(monkeypatch: pytest.MonkeyPatch) -> None:
    """Build no files and run no quality tests: the feed reads neither."""
    for module in (operations, withdrawal):
        monkeypatch.setattr(module, "build_files", lambda *_, **__: [])
    monkeypatch.setattr(withdrawal, "retire_files", lambda *_, **__: None)
    monkeypatch.setattr(operations, "quality_of", lambda _: ({}, set()))


@pytest.mark.usefixtures("no_files")
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_copy_kept_by_the_feed_is_what_readers_see(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 -- no secret, a test that repeats
    place = Village(chance)
    slow, late = Copy(), Copy()

    for _ in range(14):
        place.act()
        for _ in range(chance.randint(0, 2)):
            slow.pull(chance.randint(1, 40))
    place.release()
    for copy in (slow, late):
        while copy.pull(chance.randint(1, 60)):
            pass

    numbers = list(ChangeEntry.objects.values_list("number", flat=True))
    assert numbers == list(range(1, len(numbers) + 1)), "without gaps"
    for copy in (slow, late):
        assert copy.held == visible()
        assert len(copy.heard) == len(set(copy.heard)), "each change once"
        assert copy.heard == sorted(
            copy.heard, key=lambda one: (one[0], KIND_ORDER.index(one[1]), one[2])
        )
        withdrawn = {record for _, _, record, change in copy.heard if change == "withdrawn"}
        assert withdrawn == set(Tombstone.objects.values_list("id", flat=True))
    assert not {record for _, _, record, change in late.heard if change == "added"} & withdrawn


@pytest.mark.usefixtures("no_files")
def test_hidden_records_are_told_as_removed_and_as_added_when_they_come_back() -> None:
    group = village_group()
    homes = village(group, range(5))
    release(1)
    copy = Copy()
    copy.pull(1000)
    leavers = [Visit.objects.get(pk=home.visit.pk) for home in homes[:3]]
    withdraw_visits(visits=leavers, reason_class=ReasonClass.DOUBLE, at=FIRST_AT, by="test")

    copy.pull(1000)
    assert copy.held == visible() == {}
    village(group, range(5, 8))
    release(2)
    copy.pull(1000)

    stayed = {Visit.objects.get(pk=home.visit.pk).public_id for home in homes[3:]}
    assert copy.held == visible()
    heard = [(entry, record, change) for entry, _, record, change in copy.heard]
    for record in stayed:
        assert [(entry, change) for entry, one, change in heard if one == record] == [
            (1, "added"),
            (2, "removed"),
            (3, "added"),
        ]


@pytest.mark.usefixtures("no_files")
def test_record_that_left_and_is_hidden_afterwards_is_still_told_as_removed() -> None:
    group = village_group()
    homes = village(group, range(5))
    release(1)
    copy = Copy()
    copy.pull(1000)
    Visit.objects.filter(pk=homes[4].visit.pk).update(state="in_review")
    release(2)
    leavers = [Visit.objects.get(pk=home.visit.pk) for home in homes[:3]]

    withdraw_visits(visits=leavers, reason_class=ReasonClass.DOUBLE, at=FIRST_AT, by="test")
    copy.pull(1000)

    assert copy.held == visible() == {}


def test_entry_names_itself() -> None:
    entry = ChangeEntryFactory.create()
    note = HidingNote(entry=entry, kind="visit", record=UUID(int=1), change="added")

    assert str(entry) == "change 1"
    assert str(note) == "visit 00000000-0000-0000-0000-000000000001 added"
