"""The first rows and the number of rows, by merge or not, the same on both databases."""

from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection

from portal.records import pages
from portal.records.models import PublishedCount, PublishedPit
from portal.records.pages import Spread, Total, cells_of, documents, first_rows, spread_over, total
from tests.factories.published import PublishedPitFactory, small_release

KEY = ("sampled_first_on", "id")


def shifted(latitude: float, longitude: float) -> int:
    return (int(latitude) + 90) * 360 + int(longitude) + 180


def test_cells_of_a_box_are_those_it_touches() -> None:
    cells = cells_of((10.2, 50.1, 11.9, 51.0))

    assert {*cells} == {shifted(south, west) for south in (50, 51) for west in (10, 11)}


def test_cells_of_a_box_across_180_degrees_lie_on_both_sides() -> None:
    cells = cells_of((179.5, 0.5, -179.5, 0.6))

    east, west = shifted(0, 179), 90 * 360
    assert {east, west} <= {*cells}


@pytest.mark.django_db
@pytest.mark.parametrize(("latitude", "longitude"), [(52.885, -0.715), (-33.01, 151.2), (0, 180)])
def test_degree_cell_of_a_row_is_one_of_a_box_around_it(latitude: float, longitude: float) -> None:
    PublishedPitFactory.create(latitude=latitude, longitude=longitude)

    cells = cells_of((longitude - 0.1, latitude - 0.1, longitude, latitude + 0.1))

    assert PublishedPit.objects.get().degree_cell in cells


@pytest.mark.django_db
def test_large_box_is_gone_through_by_the_cells_that_hold_rows() -> None:
    cache.clear()
    PublishedPitFactory.create()
    cell = PublishedPit.objects.get().degree_cell

    spread = spread_over((-180, -90, 180, 90), PublishedPit, 1, is_alone=True)

    assert spread == Spread("degree_cell", [cell])
    assert spread_over((10, -80, 180, 0), PublishedPit, 1, is_alone=True) == Spread(
        "degree_cell", []
    )


@pytest.mark.django_db
@pytest.mark.parametrize("order", [KEY, ("-sampled_first_on", "-id")])
@pytest.mark.parametrize("words", [["lawn", "hedge"], ["flower bed"], ["bog"]])
def test_merge_finds_the_rows_that_a_plain_choice_finds(
    order: tuple[str, str], words: list[str]
) -> None:
    small_release()
    rows: Any = PublishedCount.objects.at(1).filter(habitat__in=words).order_by(*order)

    merged = first_rows(rows, 7, Spread("habitat", words))

    assert [row.row for row in merged] == [row.row for row in rows[:7]]


@pytest.mark.django_db
def test_merge_that_finds_nothing_has_no_documents() -> None:
    small_release()
    rows: Any = PublishedCount.objects.at(1).filter(habitat="bog").order_by(*KEY)

    assert documents(first_rows(rows, 7, Spread("habitat", ["bog"]))) == []


@pytest.mark.django_db
def test_documents_that_are_not_prepared_are_made() -> None:
    small_release()
    rows = PublishedPit.objects.order_by(*KEY)
    kept = documents(rows)
    PublishedPit.objects.filter(row=rows[1].row).update(remarks="")

    assert documents(rows) == kept


@pytest.mark.django_db
def test_total_is_exact_where_few_match() -> None:
    small = small_release()

    assert total(PublishedCount.objects.at(1)) == Total(len(small.counts))


@pytest.mark.django_db
def test_total_says_where_it_is_an_estimate(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pages, "EXACT_UP_TO", 3)
    small = small_release()

    found = total(PublishedCount.objects.at(1))

    if connection.vendor == "postgresql":
        assert found.is_estimate
        assert found.rows > pages.EXACT_UP_TO
    else:
        assert found == Total(len(small.counts))
    assert total(PublishedCount.objects.at(1), exact=True) == Total(len(small.counts))
