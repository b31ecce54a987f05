"""Walks by the links, over ties and missing values, at page sizes drawn by chance."""

import re
from datetime import date, timedelta
from random import Random
from typing import Any

import pytest

from api.open.parameters import SORTS
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
)
from tests.journeys.actors import Actor

FACTORIES: dict[str, Any] = {
    "visits": PublishedVisitFactory,
    "pits": PublishedPitFactory,
    "counts": PublishedCountFactory,
    "occurrences": PublishedCountFactory,
}
EVERY = [(collection, name) for collection, sorts in SORTS.items() for name in sorts]
ROWS = 23
FIRST_DAY = date(2025, 3, 1)


def make_rows(collection: str, sort: str, dice: Random) -> set[str]:
    """Make rows whose keys tie often, and are missing where they may be."""
    order = SORTS[collection][sort]
    made = []
    for _ in range(ROWS):
        key: Any = dice.randint(0, 4)
        if order.column == "sampled_first_on":
            key = FIRST_DAY + timedelta(days=key)
        columns = {order.column: key}
        if order.nullable and dice.random() < 0.3:
            columns = missing(order.column)
        if order.column == "uncertainty_m" and columns[order.column] == 0:
            columns = {order.column: 5}  # a place is never without uncertainty
        made.append(FACTORIES[collection].build(**columns))
    type(made[0]).objects.bulk_create(made)
    return {str(row.id) for row in made}


def missing(column: str) -> dict[str, Any]:
    """Return the columns of a row that lacks a value and is whole all the same."""
    if column == "uncertainty_m":
        return {"uncertainty_m": None, "latitude": None, "longitude": None}
    if column == "number":
        return {"number": None, "number_recorded": None, "state": "not_entered"}
    return {column: None}


def walked(reader: Actor, address: str, direction: str, dice: Random) -> tuple[list[str], str]:
    """Follow one link to its end, each time with another page size; return ids and last page."""
    ids: list[str] = []
    following: str | None = address
    last = address
    while following:
        last = following
        resized = re.sub(r"&limit=\d+", "", following) + f"&limit={dice.randint(1, 9)}"
        page = reader.get(resized).json()
        found = [next(iter(row.values())).rpartition("/")[2] for row in page["data"]]
        ids = [*ids, *found] if direction == "next" else [*found, *ids]
        assert len(ids) <= ROWS
        following = page["links"][direction]
    return ids, last


@pytest.mark.django_db
@pytest.mark.parametrize("sign", ["", "-"])
@pytest.mark.parametrize(("collection", "sort"), EVERY)
def test_walk_meets_each_row_once_both_ways(
    reader: Actor, collection: str, sort: str, sign: str
) -> None:
    dice = Random(f"{collection} {sort} {sign}")  # noqa: S311 -- no secret
    ReleaseFactory.create(number=1)
    made = make_rows(collection, sort, dice)
    address = f"/api/v1/{collection}?sort={sign}{sort}"
    whole = reader.get(f"{address}&limit=1000").json()["data"]
    expected = [next(iter(row.values())).rpartition("/")[2] for row in whole]

    forwards, last = walked(reader, address, "next", dice)
    back, _ = walked(reader, last, "prev", dice)

    if collection != "occurrences":  # which are the counted lines alone
        assert set(forwards) == made
    assert forwards == expected
    assert back == expected[: len(back)]
    assert len(back) >= len(expected) - 9, "the last page may now hold fewer rows than before"
