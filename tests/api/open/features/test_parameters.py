"""What the parameters of items mean, and what is refused."""

from datetime import date

import pytest
from django.http import QueryDict

from api.errors import Problem
from api.open.features.collections import COLLECTIONS
from api.open.features.parameters import read_box, read_interval, read_items_query
from tests.factories.published import ReleaseFactory

DAY = date(2026, 4, 1)
LATER = date(2026, 4, 30)
SEVENTEEN_DIGITS = "52.0499999999999972"  # as GDAL writes 52.05


# OGC API - Features Part 1 (17-069r4), section 7.15.4: instants and intervals; the bare T is what
# GDAL 3.6 and 3.12 send for a date.
@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("2026-04-01", (DAY, DAY)),
        ("2026-04-01T", (DAY, DAY)),
        ("2026-04-01T23:59:59Z", (DAY, DAY)),
        ("2026-04-01T23:59:59.5Z", (DAY, DAY)),
        ("2026-03-31T23:30:00-05:00", (DAY, DAY)),
        ("2026-04-01/2026-04-30", (DAY, LATER)),
        ("2026-04-01T/2026-04-30T", (DAY, LATER)),
        ("2026-04-01T00:00:00Z/2026-04-30T12:31:12Z", (DAY, LATER)),
        ("2026-04-01/..", (DAY, None)),
        ("2026-04-01T/..", (DAY, None)),
        ("2026-04-01/", (DAY, None)),
        ("../2026-04-30", (None, LATER)),
        ("/2026-04-30T12:31:12Z", (None, LATER)),
    ],
)
def test_interval_is_read_to_the_day(text: str, days: tuple[date | None, date | None]) -> None:
    assert read_interval(text) == days


@pytest.mark.parametrize(
    "text",
    [
        "",
        "../..",
        "/",
        "2026-04",
        "2026-02-30",
        "0000-01-01",
        "yesterday",
        "2026-04-01 12:00",
        "2026-04-01T12:00:00",
        "2026-04-01T25:00:00Z",
        "2026-04-30/2026-04-01",
        "2026-04-01/2026-04-02/2026-04-03",
        "0001-01-01T00:00:00+10:00",
        "٢٠٢٦-04-01",
    ],
)
def test_what_is_no_interval_is_refused(text: str) -> None:
    with pytest.raises(Problem) as refused:
        read_interval(text)

    assert refused.value.members["parameter"] == "datetime"


@pytest.mark.parametrize(
    ("text", "box"),
    [
        ("-1,52,0,53", "-1,52,0,53"),
        ("-1,52,-10,0,53,250.5", "-1,52,0,53"),
        (f"-1,{SEVENTEEN_DIGITS},0,53", f"-1,{SEVENTEEN_DIGITS},0,53"),
    ],
)
def test_box_has_four_numbers_or_six(text: str, box: str) -> None:
    assert read_box(text) == box


@pytest.mark.parametrize(
    "text",
    ["", "1,2,3", "1,2,3,4,5", "1,2,3,4,5,6,7", "a,b,c,d", "-1,52,9,0,53,1", "-1,52,nan,inf"],
)
def test_what_is_no_box_is_refused(text: str) -> None:
    with pytest.raises(Problem) as refused:
        read_box(text)

    assert refused.value.members["parameter"] == "bbox"


def filters(query: str, collection: str = "pits") -> dict[str, str]:
    return read_items_query(QueryDict(query), COLLECTIONS[collection]).filters


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("collection", "query", "expected"),
    [
        ("pits", "habitat=lawn", {"habitat": "lawn"}),
        ("pits", "country_code=GB", {"country": "GB"}),
        ("pits", "found=3", {"min_found": "3", "max_found": "3"}),
        ("pits", "depth_cm=2.75", {"min_depth_cm": "2.75", "max_depth_cm": "2.75"}),
        ("occurrences", "lifeStage=adult", {"stage": "adult"}),
        ("occurrences", "individualCount=0", {"min_number": "0", "max_number": "0"}),
        ("pits", "datetime=2026-04-01T/..", {"sampled_from": "2026-04-01"}),
        (
            "pits",
            "datetime=../2026-04-30T&datetime=2026-04-01T/..&datetime=2026-03-01/..",
            {"sampled_from": "2026-04-01", "sampled_to": "2026-04-30"},
        ),
        ("visits", "bbox=-1,52,0,53&f=json&limit=5&release=1", {"bbox": "-1,52,0,53"}),
    ],
)
def test_condition_is_said_in_words_of_the_open_api(
    collection: str, query: str, expected: dict[str, str]
) -> None:
    ReleaseFactory.create(number=1)

    assert filters(query, collection) == expected


@pytest.mark.django_db
@pytest.mark.parametrize(
    "query",
    [
        "habitat=lawn,hedge",
        "habitat=meadows of moss",
        "habitat=lawn&habitat=hedge",
        "habitat=",
        "group_code=A,B",
        "site_id=17",
        "found=2.5",
        "found=-1",
        "depth_cm=deep",
        "depth_cm=nan",
        "min_depth_cm=2",
        "management=mown",
        "sampled_on=2026-04-01",
        "sampled_from=2026-04-01",
        "limit=0",
        "limit=5&limit=6",
        "sort=sampled_on",
        "crs=http://www.opengis.net/def/crs/EPSG/0/3857",
    ],
)
def test_condition_that_is_not_equality_or_unknown_is_refused(query: str) -> None:
    ReleaseFactory.create(number=1)

    with pytest.raises(Problem) as refused:
        filters(query)

    assert refused.value.status_code == 400
    assert refused.value.members["parameter"] == query.partition("=")[0]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "limit"),
    [("", 1000), ("limit=7", 7), ("limit=10000", 10_000), ("limit=10001", 10_000)],
)
def test_limit_is_lowered_silently(query: str, limit: int) -> None:
    ReleaseFactory.create(number=1)

    assert read_items_query(QueryDict(query), COLLECTIONS["visits"]).limit == limit
