"""Freezing a query."""

import hashlib
from collections.abc import Iterator
from typing import Any

import pytest

from portal.records.models import PublishedCount
from portal.snapshots import operations, queries
from portal.snapshots.models import Snapshot, SnapshotIds
from portal.snapshots.operations import freeze
from portal.snapshots.queries import TooLongError, every_row, rows_between
from tests.factories.published import (
    ChangeEntryFactory,
    PublishedCountFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    TombstoneFactory,
    small_release,
)
from tests.portal.snapshots.freezing import AT, asked, frozen, lines

pytestmark = pytest.mark.django_db


def test_snapshot_holds_rows_checksum_and_ids_in_their_order() -> None:
    small = small_release()
    ids = sorted(count.id for count in small.counts)

    snapshot = frozen(small.release)

    content = "".join(f"{one}\n" for one in ids).encode()
    assert snapshot.rows == len(ids) == 32
    assert snapshot.sha256 == hashlib.sha256(content).hexdigest()
    assert snapshot.size_bytes == len(content)
    (part,) = SnapshotIds.objects.all()
    assert bytes(part.ids) == b"".join(one.bytes for one in ids)


def test_id_is_short_random_and_easy_to_read() -> None:
    release = small_release().release

    names = {frozen(release, habitat=habitat).id for habitat in ("lawn", "hedge", "flower bed")}

    assert len(names) == 3
    assert all(len(name) == 12 and not set(name) & set("01oil") for name in names)


def test_same_query_is_frozen_once_even_by_two_at_the_same_time() -> None:
    small = small_release()
    question = asked(small.release, "visits")
    rows = PublishedVisitFactory._meta.model.objects.at(1).order_by("id")
    first, is_new = freeze(question, rows, lines, at=AT)

    again, is_news = freeze(question, rows, lines, at=AT.replace(year=2030))

    assert (is_new, is_news) == (True, False)
    assert again == first
    assert again.created_at == AT
    assert Snapshot.objects.count() == SnapshotIds.objects.count() == 1


def test_nothing_found_is_frozen_as_well() -> None:
    snapshot = frozen(ReleaseFactory.create(number=1))

    assert (snapshot.rows, snapshot.groups, snapshot.has_unnamed_groups) == (0, [], False)
    assert snapshot.sha256 == hashlib.sha256(b"").hexdigest()
    assert list(every_row(snapshot)) == []
    assert rows_between(snapshot, 0, 10) == []


@pytest.mark.parametrize(
    ("on_rows", "named", "others"),
    [
        (["QVD", "QVD"], ["Quellmoor diggers"], False),
        (["QVD", None], ["Quellmoor diggers"], True),
        ([None], [], True),
        (["XYZ"], [], True),  # a code on rows, but no agreement in the credits
    ],
)
def test_groups_are_named_by_agreement_and_a_public_code(
    on_rows: list[str | None], named: list[str], *, others: bool
) -> None:
    release = ReleaseFactory.create(
        number=1,
        credits=[
            {"code": "OPL", "name": "Ottpool", "visits": 3},
            {"code": "QVD", "name": "Quellmoor diggers", "visits": 3},
        ],
    )
    for code in on_rows:
        PublishedVisitFactory.create(group_code=code)

    snapshot = frozen(release, "visits")

    assert (snapshot.groups, snapshot.has_unnamed_groups) == (named, others)


def test_withdrawal_while_rows_are_read_is_told_afterwards() -> None:
    small = small_release()
    doomed = small.counts[5].id

    def rows() -> Iterator[Any]:
        yield from PublishedCount.objects.at(1).order_by("id")
        TombstoneFactory.create(id=doomed, kind="occurrence", entry=ChangeEntryFactory.create())
        PublishedCount.objects.filter(id=doomed).delete()

    snapshot, _ = freeze(asked(small.release, "counts"), rows(), lines, at=AT)

    assert queries.standing_of(snapshot).withdrawn == (doomed,)


def test_reading_may_not_take_for_ever(settings: Any) -> None:
    settings.SNAPSHOT_SECONDS = -1
    release = small_release().release

    with pytest.raises(TooLongError):
        frozen(release)

    assert not Snapshot.objects.exists()


def test_ids_are_kept_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (operations, queries):
        monkeypatch.setattr(module, "IDS_OF_A_PART", 5)
    monkeypatch.setattr(queries, "_FETCHED_AT_ONCE", 2)
    release = ReleaseFactory.create(number=1)
    ids = sorted(count.id for count in PublishedCountFactory.create_batch(13))

    snapshot = frozen(release)

    assert [len(bytes(part.ids)) for part in SnapshotIds.objects.all()] == [80, 80, 48]
    assert [row.id for row in every_row(snapshot)] == ids
    assert [row.id for row in rows_between(snapshot, 3, 8)] == ids[3:11]
    assert [row.id for row in rows_between(snapshot, 9, 100)] == ids[9:]
