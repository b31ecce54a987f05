"""Pages of features and single ones."""

import json
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    SmallRelease,
    TombstoneFactory,
    place_columns,
)
from tests.journeys.actors import Actor

COLLECTIONS = ("visits", "pits", "occurrences")
BASE = "http://localhost:8000/features/collections"


def read(reader: Actor, address: str) -> dict[str, Any]:
    answer = reader.get(address)
    assert answer.status_code == 200, answer.content
    body: dict[str, Any] = json.loads(answer.content)
    return body


def items(reader: Actor, collection: str, query: str = "") -> dict[str, Any]:
    return read(reader, f"/features/collections/{collection}/items{query}")


def by_relation(body: dict[str, Any]) -> dict[str, dict[str, str]]:
    return {link["rel"]: link for link in body["links"]}


def walk(reader: Actor, address: str) -> list[str]:
    ids: list[str] = []
    following: str | None = address
    while following:
        body = read(reader, following)
        ids += [feature["id"] for feature in body["features"]]
        following = by_relation(body).get("next", {}).get("href")
    return ids


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
@pytest.mark.parametrize("limit", [1, 3, 4, 31, 10_000])
def test_next_links_meet_each_feature_once(reader: Actor, collection: str, limit: int) -> None:
    matched = items(reader, collection)["numberMatched"]

    ids = walk(reader, f"/features/collections/{collection}/items?limit={limit}")

    assert len(ids) == len(set(ids)) == matched > 1


@pytest.mark.usefixtures("small")
def test_page_says_how_many_there_are_and_when(reader: Actor) -> None:
    before = timezone.now().replace(microsecond=0)

    body = items(reader, "pits", "?limit=3")

    assert (body["numberMatched"], body["numberReturned"], len(body["features"])) == (4, 3, 3)
    assert before <= datetime.fromisoformat(body["timeStamp"]) <= timezone.now()
    assert body["timeStamp"].endswith("Z")
    assert body["meta"]["query"] == "/api/v1/pits?release=1"
    assert body["meta"]["license"]["id"] == "CC-BY-4.0"


@pytest.mark.usefixtures("small")
def test_links_name_release_cursor_and_type(reader: Actor) -> None:
    ReleaseFactory.create(number=2)

    links = by_relation(items(reader, "pits", "?limit=3&release=1"))

    assert links["self"]["href"] == f"{BASE}/pits/items?limit=3&release=1"
    assert links["alternate"] == {
        "rel": "alternate",
        "href": f"{BASE}/pits/items?limit=3&release=1&f=html",
        "type": "text/html",
        "title": "This document as a page",
    }
    assert links["next"]["type"] == "application/geo+json"
    assert "&release=1&cursor=" in links["next"]["href"]
    assert "prev" in by_relation(read(reader, links["next"]["href"]))


@pytest.mark.usefixtures("small")
def test_empty_answer_has_links_and_counts(reader: Actor) -> None:
    body = items(reader, "pits", "?bbox=10,10,11,11")

    assert (body["features"], body["numberMatched"], body["numberReturned"]) == ([], 0, 0)
    assert set(by_relation(body)) == {"self", "alternate", "collection"}


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("here", "there", "narrows"),
    [
        ("bbox=-0.72,52.8,-0.7,52.9", "bbox=-0.72,52.8,-0.7,52.9", True),
        ("bbox=-1,52,0,-0.5,53,99", "bbox=-1,52,-0.5,53", False),
        ("bbox=179,-90,-0.6,90", "bbox=179,-90,-0.6,90", True),
        ("datetime=2025-03-15", "sampled_from=2025-03-15&sampled_to=2025-03-15", False),
        ("datetime=2025-03-16/..", "sampled_from=2025-03-16", True),
        ("datetime=../2025-03-14", "sampled_to=2025-03-14", True),
        ("datetime=2025-04-01/..", "sampled_from=2025-04-01", True),
        ("protocol=school-pit/1", "protocol=school-pit/1", True),
    ],
)
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_condition_counts_what_the_open_api_counts(
    reader: Actor, collection: str, here: str, there: str, *, narrows: bool
) -> None:
    if collection == "occurrences" and "protocol" in here:
        here, there = "habitat=hedge", "habitat=hedge"
    whole = items(reader, collection)["numberMatched"]
    counted = read(reader, f"/api/v1/{collection}?{there}&count=exact")["page"]["matched"]

    found = items(reader, collection, f"?{here}")

    assert found["numberMatched"] == counted == len(found["features"])
    assert counted <= whole
    assert (counted < whole) == narrows


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("collection", "name"),
    [
        ("pits", "habitat"),
        ("pits", "protocol"),
        ("pits", "area_m2"),
        ("pits", "found"),
        ("pits", "people_digging"),
        ("pits", "pit_id"),
        ("visits", "cell"),
        ("visits", "country_code"),
        ("occurrences", "lifeStage"),
        ("occurrences", "group"),
        ("occurrences", "method"),
        ("occurrences", "countryCode"),
        ("occurrences", "individualCount"),
        ("occurrences", "identificationVerificationStatus"),
    ],
)
def test_property_filter_means_equals(reader: Actor, collection: str, name: str) -> None:
    """Clients do not check the answer again, so that it must be exactly the equal ones."""
    listed = items(reader, collection)["features"]
    values = {feature["properties"][name] for feature in listed} - {None}

    assert values
    for value in values:
        found = items(reader, collection, f"?{name}={value}")["features"]
        equal = {one["id"] for one in listed if one["properties"][name] == value}
        assert {feature["id"] for feature in found} == equal


@pytest.mark.usefixtures("small")
def test_geometry_is_the_published_cell_or_null(reader: Actor) -> None:
    shown = PublishedVisitFactory.create()
    withheld = PublishedVisitFactory.create(**place_columns("root"))

    found = {one["id"]: one["geometry"] for one in items(reader, "visits")["features"]}

    assert found[str(withheld.id)] is None
    assert found[str(shown.id)] == {
        "type": "Polygon",
        "coordinates": [
            [[-0.72, 52.88], [-0.71, 52.88], [-0.71, 52.89], [-0.72, 52.89], [-0.72, 52.88]]
        ],
    }


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_single_feature_is_the_listed_one_with_links(
    reader: Actor, small: SmallRelease, collection: str
) -> None:
    del small
    listed = items(reader, collection)["features"][0]

    body = read(reader, f"/features/collections/{collection}/items/{listed['id']}")

    assert {name: body[name] for name in listed} == listed
    links = by_relation(body)
    assert links["self"]["href"] == f"{BASE}/{collection}/items/{listed['id']}"
    assert links["collection"]["href"] == f"{BASE}/{collection}"
    assert str(UUID(body["id"])) == body["id"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_feature_that_does_not_stand_is_told_as_a_problem(reader: Actor, collection: str) -> None:
    stone = TombstoneFactory.create()
    base = f"/features/collections/{collection}/items"

    assert reader.get(f"{base}/{uuid4()}").status_code == 404
    assert reader.get(f"{base}/17").status_code == 404
    gone = reader.get(f"{base}/{stone.id}")
    assert (gone.status_code, gone.json()["reason_class"]) == (410, "double")


def test_line_that_was_not_counted_is_no_occurrence(reader: Actor, small: SmallRelease) -> None:
    (blank,) = [count for count in small.counts if count.state == "not_entered"]

    assert reader.get(f"/features/collections/occurrences/items/{blank.id}").status_code == 404
    assert str(blank.id) not in str(items(reader, "occurrences"))


def test_release_is_read_as_it_stood(reader: Actor, small: SmallRelease) -> None:
    visit = small.visits[0]
    ReleaseFactory.create(number=2)
    type(visit).objects.filter(row=visit.row).update(until_release=2)

    assert items(reader, "visits")["numberMatched"] == 1
    assert items(reader, "visits", "?release=1")["numberMatched"] == 2
    address = f"/features/collections/visits/items/{visit.id}"
    assert reader.get(address).status_code == 404
    assert reader.get(f"{address}?release=1").status_code == 200


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("cursor", "code"),
    [("garbage", "cursor-invalid"), ("", "cursor-invalid"), (None, "cursor-mismatch")],
)
def test_cursor_that_is_not_of_this_query_is_refused(
    reader: Actor, cursor: str | None, code: str
) -> None:
    following = by_relation(items(reader, "pits", "?limit=1"))["next"]["href"]
    other = following.replace("limit=1", "limit=1&habitat=lawn")

    answer = reader.get(
        other if cursor is None else f"/features/collections/pits/items?cursor={cursor}"
    )

    assert answer.status_code == 400
    assert answer.json()["type"].endswith(f"/problems/{code}")


@pytest.mark.usefixtures("small")
def test_number_matched_is_counted_once_for_all_pages(reader: Actor) -> None:
    first = items(reader, "pits", "?limit=1")

    with CaptureQueriesContext(connection) as captured:
        second = read(reader, by_relation(first)["next"]["href"])

    assert second["numberMatched"] == 4
    assert not [query for query in captured.captured_queries if "COUNT(*)" in query["sql"]]
