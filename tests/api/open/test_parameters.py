"""Unknown names and wrong values are refused, and say what would be right."""

from typing import Any
from urllib.parse import quote

import pytest

from api.open.parameters import SORTS
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    SmallRelease,
)
from tests.journeys.actors import Actor

COLLECTIONS = ("visits", "pits", "counts", "occurrences")
JSON_ONLY = (
    "/api/v1",
    "/api/v1/fields",
    "/api/v1/fields/habitat",
    "/api/v1/vocabularies",
    "/api/v1/vocabularies/season",
    "/api/v1/groups",
    "/api/v1/status",
    "/api/v1/releases",
    "/api/v1/releases/1",
)
SEVERAL_FORMATS = ("/api/v1/pits", "/api/v1/summary", "/api/v1/releases/1/changes")
# name, value, part of what is said to be allowed
WRONG = [
    ("sampled_from", "2025-02-30", "YYYY-MM-DD"),
    ("sampled_from", "03/04/2025", "YYYY-MM-DD"),
    ("sampled_to", "yesterday", "YYYY-MM-DD"),
    ("sampled_to", "", "a value"),
    ("min_area_m2", "wide", "a number"),
    ("min_area_m2", "0,05", "a number"),
    ("max_area_m2", "NaN", "a number"),
    ("max_area_m2", "Infinity", "a number"),
    ("min_depth_cm", "1e400", "a number"),
    ("min_sorting_minutes", "", "a value"),
    ("season", "monsoon", "autumn, spring, summer, winter"),
    ("season", "", "autumn, spring, summer, winter"),
    ("habitat", "lawns", "lawn"),
    ("habitat", "LAWN", "lawn"),
    ("habitat", "lawn,moon", "lawn"),
    ("moisture", "damp", "waterlogged"),
    ("group_code", "", "a value"),
    ("group_code", "ABC,", "a value"),
    ("protocol", "a\x00b", "printable"),
    ("bbox", "1,2,3", "west,south,east,north"),
    ("bbox", "a,b,c,d", "west,south,east,north"),
    ("bbox", "-181,0,0,1", "west,south,east,north"),
    ("bbox", "0,0,180.1,1", "west,south,east,north"),
    ("bbox", "0,50,1,40", "west,south,east,north"),
    ("bbox", "0,-91,1,0", "west,south,east,north"),
    ("bbox", "nan,0,1,1", "west,south,east,north"),
    ("bbox", "0,nan,1,1", "west,south,east,north"),
    ("bbox", "", "a value"),
    ("paired", "yes", "true or false"),
    ("paired", "1", "true or false"),
    ("effort_known", "maybe", "true or false"),
    ("site_id", "17", "an id (UUID)"),
    ("limit", "0", "1 to 1000"),
    ("limit", "-5", "1 to 1000"),
    ("limit", "1.5", "1 to 1000"),
    ("limit", "ten", "1 to 1000"),
    ("limit", "", "1 to 1000"),
    ("limit", "all", "all only with f=csv or ndjson or parquet"),
    ("limit", "\u0663", "1 to 1000"),  # a digit, but not one of ours
    ("fields", "habitat,colur", "names of fields"),
    ("fields", "hidden", "names of fields"),
    ("fields", "", "names of fields"),
    ("sort", "habitat", "one of sampled_on"),
    ("sort", "--sampled_on", "one of sampled_on"),
    ("sort", "", "one of sampled_on"),
    ("release", "2", "the number of a release: 1"),
    ("release", "0", "the number of a release: 1"),
    ("release", "latest", "the number of a release: 1"),
    ("release", "9" * 30, "the number of a release: 1"),
    ("f", "xml", "one of json, geojson, csv, ndjson, parquet"),
    ("f", "", "one of json, geojson, csv, ndjson, parquet"),
    ("count", "yes", "exact or none"),
    ("bom", "1", "false or true"),
]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_unknown_parameter_is_refused_with_the_nearest_known(
    reader: Actor, collection: str
) -> None:
    answer = reader.get(f"/api/v1/{collection}?seson=spring")

    problem = answer.json()
    assert (answer.status_code, problem["type"].rpartition("/")[2]) == (400, "parameter-unknown")
    assert (problem["parameter"], problem["nearest"]) == ("seson", "season")
    assert "season" in problem["allowed"]
    assert "Did you mean 'season'?" in problem["detail"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    "name",
    [
        "page", "offset", "format", "site__latitude__gt", "exact_latitude", "order", "near",
        "recorder", "hidden", "since_release", "zzz",
    ],
)  # fmt: skip
@pytest.mark.parametrize("address", [*SEVERAL_FORMATS, *JSON_ONLY])
def test_parameter_nobody_knows_is_refused_everywhere(
    reader: Actor, address: str, name: str
) -> None:
    answer = reader.get(f"{address}?{name}=1")

    assert answer.status_code == 400
    assert answer.json()["parameter"] == name
    assert "f" in answer.json()["allowed"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(("name", "value", "allowed"), WRONG)
def test_wrong_value_is_refused_and_says_what_is_allowed(
    reader: Actor, name: str, value: str, allowed: str
) -> None:
    answer = reader.get(f"/api/v1/pits?{name}={quote(value)}")

    problem = answer.json()
    assert (answer.status_code, problem["type"].rpartition("/")[2]) == (400, "parameter-wrong")
    assert problem["parameter"] == name
    assert allowed in problem["allowed"]
    assert name in problem["detail"]
    assert isinstance(problem["received"], str)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("query", "nearest"),
    [
        ("fields=habitat,colur", "colour"),
        ("habitat=lawn,hegde", "hedge"),
        ("sort=sampled", "sampled_on"),
        ("sort=-area", "area_m2"),
        ("f=geo", "geojson"),
        ("season=zzz", None),
    ],
)
def test_wrong_word_is_refused_with_the_nearest_known(
    reader: Actor, query: str, nearest: str | None
) -> None:
    problem = reader.get(f"/api/v1/pits?{query}").json()

    assert (problem["status"], problem["nearest"]) == (400, nearest)
    assert ("Did you mean" in problem["detail"]) is (nearest is not None)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    "query", ["limit=1&limit=2", "release=1&release=1", "bbox=0,0,1,1&bbox=2,2,3,3", "f=csv&f=json"]
)
def test_parameter_of_one_value_is_refused_twice(reader: Actor, query: str) -> None:
    problem = reader.get(f"/api/v1/pits?{query}").json()

    assert (problem["status"], problem["parameter"]) == (400, query.partition("=")[0])
    assert problem["allowed"] == "one value"


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", JSON_ONLY)
def test_address_of_json_only_takes_no_other_format(reader: Actor, address: str) -> None:
    assert reader.get(f"{address}?f=json").status_code == 200

    answer = reader.get(f"{address}?f=csv")

    assert (answer.status_code, answer.json()["allowed"]) == (400, "json")


def test_what_was_received_is_cut_short(reader: Actor, small: SmallRelease) -> None:
    del small

    answer = reader.get("/api/v1/pits?season=" + "x" * 500)

    assert answer.json()["received"] == "x" * 80


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("limit", ["1001", "99999999999999999999"])
def test_limit_above_the_maximum_is_lowered(reader: Actor, limit: str) -> None:
    answer = reader.get(f"/api/v1/counts?limit={limit}")

    assert answer.status_code == 200
    assert answer.json()["page"] == {"returned": 32, "matched": 32}


@pytest.mark.django_db
def test_page_holds_at_most_a_thousand_rows(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    rows = PublishedPitFactory.build_batch(1002)
    type(rows[0]).objects.bulk_create(rows)

    answer = reader.get("/api/v1/pits?limit=2000&fields=id")

    assert answer.json()["page"] == {"returned": 1000, "matched": 1002}
    assert len(reader.get("/api/v1/pits?fields=id").json()["data"]) == 100


def test_release_that_does_not_exist_yet_is_not_found(reader: Actor, db: Any) -> None:
    del db

    answer = reader.get("/api/v1/visits")

    assert answer.status_code == 404
    assert answer.json()["detail"] == "No release has been made yet."


@pytest.mark.usefixtures("small")
def test_count_can_be_left_out(reader: Actor) -> None:
    assert reader.get("/api/v1/pits?count=none").json()["page"] == {"returned": 4}
    assert reader.get("/api/v1/pits?count=exact").json()["page"] == {"returned": 4, "matched": 4}


NOT_ENTERED = {"state": "not_entered", "number_recorded": None}
SORTED: list[tuple[str, Any, str, list[dict[str, Any]]]] = [
    ("visits", PublishedVisitFactory, "people_digging", [{}, {}, {}]),
    ("pits", PublishedPitFactory, "sorting_minutes", [{}, {}, {}]),
    ("pits", PublishedPitFactory, "found", [{}, {}, {}]),
    ("counts", PublishedCountFactory, "number", [NOT_ENTERED, {}, {}]),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("collection", "factory", "column", "more"), SORTED)
@pytest.mark.parametrize("sign", ["", "-"])
def test_sorting_puts_missing_values_last(
    reader: Actor, sign: str, collection: str, factory: Any, column: str, more: list[Any]
) -> None:
    ReleaseFactory.create(number=1)
    for value, columns in zip((None, 20, 5), more, strict=True):
        factory.create(**columns | {column: value})

    rows = reader.get(f"/api/v1/{collection}?sort={sign}{column}").json()["data"]

    assert [row[column] for row in rows] == [*([20, 5] if sign else [5, 20]), None]


@pytest.mark.django_db
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_every_sort_is_taken_both_ways(reader: Actor, small: SmallRelease, collection: str) -> None:
    del small

    for column in SORTS[collection]:
        for sign in ("", "-"):
            answer = reader.get(f"/api/v1/{collection}?sort={sign}{column}&limit=1")
            assert answer.status_code == 200, answer.json()
            assert reader.get(answer.json()["links"]["next"]).status_code == 200
