"""Row versions: written where something changed, closed where something left."""

from typing import Any
from uuid import uuid4

import pytest

from portal.publication.sight import unhide
from portal.publication.versions import IdWithdrawn, VersionWriter, releases_in, spans_of
from portal.records.models import PublishedVisit
from surveys.visits.models import Visit
from tests.factories.private import VisitFactory
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, TombstoneFactory

pytestmark = pytest.mark.django_db


# What is not made of other columns by the database.
COLUMNS = [field.attname for field in PublishedVisit._meta.concrete_fields if not field.generated]


def columns_of(row: PublishedVisit) -> dict[str, Any]:
    return {name: getattr(row, name) for name in COLUMNS}


def write(number: int, *rows: dict[str, Any]) -> None:
    writer = VersionWriter(PublishedVisit, ReleaseFactory.create(number=number))
    for row in rows:
        writer.take(row)
    writer.write()


def test_row_that_did_not_change_is_left_alone() -> None:
    row = PublishedVisitFactory.create()

    write(2, columns_of(row))

    assert PublishedVisit.objects.get().row == row.row
    assert PublishedVisit.objects.get().until_release is None


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("people_digging", 9),
        ("people_digging", None),
        ("remarks", "new"),
        ("cell", "root"),
        ("habitats", ["lawn"]),
        ("latitude", 52.875),
        ("paired", False),
    ],
)
def test_row_with_another_value_is_closed_and_opened_anew(column: str, value: Any) -> None:
    row = PublishedVisitFactory.create()

    write(2, columns_of(row) | {column: value})

    old, new = PublishedVisit.objects.order_by("row")
    assert (old.until_release, getattr(old, column)) == (2, getattr(row, column))
    assert (new.since_release, new.until_release, getattr(new, column)) == (2, None, value)
    assert old.id == new.id


def test_row_that_is_not_taken_again_is_closed() -> None:
    PublishedVisitFactory.create()

    write(2)

    assert PublishedVisit.objects.get().until_release == 2


def test_row_that_left_and_came_back_has_two_lives() -> None:
    row = PublishedVisitFactory.create(until_release=2)

    write(3, columns_of(row))

    lives = PublishedVisit.objects.order_by("row").values_list("since_release", "until_release")
    assert list(lives) == [(1, 2), (3, None)]


@pytest.mark.parametrize("missing", COLUMNS)
def test_every_public_column_must_be_given(missing: str) -> None:
    row = columns_of(PublishedVisitFactory.build())
    del row[missing]
    bookkeeping = {"row", "since_release", "until_release", "hidden", "modified_at", "document"}

    if missing in bookkeeping:
        write(1, row)
        assert PublishedVisit.objects.count() == 1
    else:
        with pytest.raises(KeyError, match=missing):
            write(1, row)


def test_rows_come_back_with_the_releases_that_they_stood_in() -> None:
    old = PublishedVisitFactory.create(hidden=True, since_release=2)
    PublishedVisitFactory.create(hidden=True, since_release=1)
    nobody = Visit.objects.none().values("public_id")

    assert unhide(PublishedVisit, [old.site_id], nobody) == {(2, None)}
    assert unhide(PublishedVisit, [old.site_id, uuid4()], nobody) == set()

    assert PublishedVisit.objects.filter(hidden=True).count() == 1


def test_visit_without_consent_stays_hidden_when_its_site_comes_back() -> None:
    lapsed = VisitFactory.create(public_id=uuid4())
    held = PublishedVisitFactory.create(hidden=True, visit_id=lapsed.public_id)

    assert unhide(PublishedVisit, [held.site_id], Visit.objects.values("public_id")) == set()

    assert PublishedVisit.objects.filter(hidden=True).count() == 1


@pytest.mark.parametrize(
    ("spans", "numbers"),
    [
        ([(1, None)], [1, 2, 3]),
        ([(1, 2)], [1]),
        ([(2, 3)], [2]),
        ([(1, 2), (3, None)], [1, 3]),
        ([(3, 4)], [3]),
        ([], []),
    ],
)
def test_releases_are_found_by_the_spans_of_rows(
    spans: list[tuple[int, int | None]], numbers: list[int]
) -> None:
    for number in (3, 1, 2):
        ReleaseFactory.create(number=number)
    for since, until in spans:
        PublishedVisitFactory.create_batch(2, since_release=since, until_release=until)

    found = spans_of(PublishedVisit.objects.all())

    assert found == set(spans)
    assert [release.number for release in releases_in(found)] == numbers


def test_withdrawn_id_is_never_written_again() -> None:
    row = PublishedVisitFactory.build()
    TombstoneFactory.create(id=row.id)

    with pytest.raises(IdWithdrawn, match=str(row.id)):
        write(2, columns_of(row))

    assert not PublishedVisit.objects.exists()
