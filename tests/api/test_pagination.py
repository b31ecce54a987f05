"""Cursor walks that must neither lose nor repeat a row."""

import base64
import json
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.pagination import CursorInvalid, CursorMismatch, Order, Page, read_page
from portal.records.models import PublishedPit
from portal.records.row_sets import VersionedRows
from tests.factories.published import PublishedPitFactory

QUERY = "0123456789abcdef"
FIRST_DAY = date(2025, 3, 15)
ORDERS = {
    "by day": Order("sampled_first_on"),
    "by day, newest first": Order("sampled_first_on", descending=True),
    "by minutes": Order("sorting_minutes", nullable=True),
    "by minutes, longest first": Order("sorting_minutes", descending=True, nullable=True),
    "by area": Order("area_m2"),
}

pytestmark = pytest.mark.django_db


def pits_with(keys: list[int | None]) -> None:
    """Make a pit for each key; small keys make ties, None a missing one."""
    PublishedPit.objects.bulk_create(
        PublishedPitFactory.build(
            sorting_minutes=key,
            sampled_first_on=FIRST_DAY + timedelta(days=key or 0),
            area_m2=0.01 * (key or 0) + 0.1 + 0.2,  # no short decimal
        )
        for key in keys
    )


def rows() -> VersionedRows:
    return PublishedPit.objects.at(1)


def expected_ids(order: Order) -> list[UUID]:
    """Sort in plain Python: nulls last, then key and id, both one way or both the other."""
    sign = -1 if order.descending else 1

    def place(pit: Any) -> tuple[bool, float, int]:
        key = getattr(pit, order.column)
        number = float(key.toordinal() if isinstance(key, date) else key or 0)
        return key is None, sign * number, sign * pit.id.int

    return [pit.id for pit in sorted(rows(), key=place)]


def page_at(order: Order, limit: int, cursor: str | None) -> Page:
    return read_page(rows(), order, limit=limit, cursor=cursor, query=QUERY)


def walk(order: Order, limit: int) -> list[Page]:
    """Follow the cursors to the end; the bound stops a walk that goes round in circles."""
    pages = [page_at(order, limit, None)]
    for _ in range(rows().count()):
        following = pages[-1].next_cursor
        if following is None:
            return pages
        pages.append(page_at(order, limit, following))
    return pages


def ids(pages: list[Page]) -> list[UUID]:
    return [row.id for page in pages for row in page.rows]


@pytest.mark.parametrize("order", ORDERS.values(), ids=ORDERS.keys())
@given(
    keys=st.lists(st.none() | st.integers(0, 3), max_size=12),
    limit=st.integers(1, 13),
)
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_walk_forwards_and_back_meets_each_row_once(
    order: Order, keys: list[int | None], limit: int
) -> None:
    with transaction.atomic():
        pits_with(keys)

        pages = walk(order, limit)
        back = [pages[-1]]
        while back[-1].previous_cursor is not None and len(back) <= len(keys):
            back.append(page_at(order, limit, back[-1].previous_cursor))

        assert ids(pages) == expected_ids(order)
        assert all(len(page.rows) == limit for page in pages[:-1])
        assert ids(back[::-1]) == ids(pages)
        transaction.set_rollback(True)


@pytest.mark.parametrize("limit", range(1, 10))
@pytest.mark.parametrize("order", ORDERS.values(), ids=ORDERS.keys())
def test_walk_over_ties_and_nulls_holds_at_every_limit(order: Order, limit: int) -> None:
    pits_with([2, None, 2, 1, None, 2, 1, 3])

    pages = walk(order, limit)

    assert ids(pages) == expected_ids(order)
    assert pages[0].previous_cursor is None
    assert pages[-1].next_cursor is None


def test_page_back_from_the_middle_leads_forward_again() -> None:
    pits_with([1, 2, 3, None, None])
    order = ORDERS["by minutes"]
    first = page_at(order, 2, None)
    second = page_at(order, 2, first.next_cursor)

    again = page_at(order, 2, second.previous_cursor)

    assert ids([again]) == ids([first])
    assert again.previous_cursor is None
    assert ids([page_at(order, 2, again.next_cursor)]) == ids([second])


def test_no_rows_give_one_empty_page() -> None:
    page = page_at(ORDERS["by day"], 5, None)

    assert page == Page([], None, None)


def test_row_that_vanishes_between_pages_costs_no_other_row() -> None:
    pits_with([1, 2, 3, 4, 5, 6])
    order = ORDERS["by minutes"]
    first = page_at(order, 2, None)
    PublishedPit.objects.filter(id=first.rows[-1].id).delete()

    second = page_at(order, 2, first.next_cursor)

    assert [pit.sorting_minutes for pit in second.rows] == [3, 4]


def test_cursor_holds_nothing_but_public_keys() -> None:
    pits_with([7, 8])
    page = page_at(ORDERS["by minutes"], 1, None)
    assert page.next_cursor is not None

    payload, _, signature = page.next_cursor.rpartition(":")
    content = json.loads(base64.urlsafe_b64decode(payload + "=" * (-len(payload) % 4)))

    assert content == ["7", page.rows[0].id.hex, 0, QUERY]
    assert len(signature) >= 40
    assert page == page_at(ORDERS["by minutes"], 1, None), "a cursor holds no time"


def _flipped(cursor: str, place: int) -> str:
    other = "A" if cursor[place] != "A" else "B"
    return cursor[:place] + other + cursor[place + 1 :]


@pytest.mark.parametrize("place", [0, 10, 20, 30, -1, -20])
def test_tampered_cursor_is_refused(place: int) -> None:
    pits_with([1, 2])
    cursor = page_at(ORDERS["by day"], 1, None).next_cursor
    assert cursor is not None

    with pytest.raises(CursorInvalid):
        page_at(ORDERS["by day"], 1, _flipped(cursor, place if place >= 0 else len(cursor) + place))


@pytest.mark.parametrize(
    "cursor",
    ["", ":", "x", "a:b", "é", "W10:abc", "\x00", "9" * 5000, "null", "eyJ4IjoxfQ==", "..:..:.."],
)
def test_garbage_cursor_is_refused(cursor: str) -> None:
    with pytest.raises(CursorInvalid):
        page_at(ORDERS["by day"], 1, cursor)


@pytest.mark.parametrize("other", ["by minutes", "by area", "by day, newest first"])
def test_cursor_of_another_order_is_a_mismatch(other: str) -> None:
    pits_with([1, 2])
    cursor = page_at(ORDERS["by day"], 1, None).next_cursor

    with pytest.raises(CursorMismatch):
        read_page(rows(), ORDERS[other], limit=1, cursor=cursor, query="another query")


def test_cursor_signed_with_another_key_is_refused(settings: Any) -> None:
    pits_with([1, 2])
    settings.SECRET_KEY = "another installation's key " * 3
    foreign = page_at(ORDERS["by day"], 1, None).next_cursor
    settings.SECRET_KEY = "our own key " * 5

    with pytest.raises(CursorInvalid):
        page_at(ORDERS["by day"], 1, foreign)
