"""Collections and single records of a release."""

from typing import Any
from uuid import uuid4

import pytest

from api.open.rows import COLLECTION_FIELDS
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    SmallRelease,
    TombstoneFactory,
    count_of,
    pit_of,
    place_columns,
)
from tests.journeys.actors import Actor
from tests.reference_tables import rows as reference_rows

COLLECTIONS = ("visits", "pits", "counts")


def rows(reader: Actor, address: str) -> list[dict[str, Any]]:
    answer = reader.get(address)
    assert answer.status_code == 200, answer.json()
    data: list[dict[str, Any]] = answer.json()["data"]
    return data


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", [*COLLECTIONS, "occurrences"])
def test_every_row_has_every_property(reader: Actor, collection: str) -> None:
    found = rows(reader, f"/api/v1/{collection}")

    assert len(found) > 1
    assert {tuple(row) for row in found} == {tuple(COLLECTION_FIELDS[collection])}


@pytest.mark.usefixtures("small")
def test_fields_are_a_subset_with_the_id_always(reader: Actor) -> None:
    found = rows(reader, "/api/v1/pits?fields=texture,habitat")
    occurrences = rows(reader, "/api/v1/occurrences?fields=individualCount")

    assert {tuple(row) for row in found} == {("id", "habitat", "texture")}
    assert {tuple(row) for row in occurrences} == {("occurrenceID", "individualCount")}


@pytest.mark.django_db
def test_three_kinds_of_nothing_stay_three_values(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    pit = pit_of(PublishedVisitFactory.create(), moisture="not_looked_for", texture=None)
    nothing = {"number": None, "number_recorded": None}
    count_of(pit, group="epigeic", state="counted", number=0, number_recorded=0)
    count_of(pit, group="endogeic", state="not_looked_for", **nothing)
    count_of(pit, group="anecic", state="not_entered", **nothing)

    found = {row["group"]: row for row in rows(reader, "/api/v1/counts")}
    occurrences = rows(reader, "/api/v1/occurrences")

    assert {name: (row["state"], row["number"]) for name, row in found.items()} == {
        "epigeic": ("counted", 0),
        "endogeic": ("not_looked_for", None),
        "anecic": ("not_entered", None),
    }
    assert {(row["moisture"], row["texture"]) for row in found.values()} == {
        ("not_looked_for", None)
    }
    assert [(row["individualCount"], row["occurrenceStatus"]) for row in occurrences] == [
        (0, "absent")
    ]


@pytest.mark.usefixtures("small")
def test_numbers_are_numbers_and_keep_their_point(reader: Actor) -> None:
    answer = reader.get("/api/v1/pits?habitat=flower bed")

    assert b'"width_cm":20.0' in answer.content
    assert b'"area_m2":0.04' in answer.content
    assert b'"latitude":52.885' in answer.content
    assert b'"sorted_to_end":true' in answer.content


@pytest.mark.django_db
def test_place_without_coordinates_is_null_not_zero(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    PublishedVisitFactory.create(**place_columns("root"))

    (row,) = rows(reader, "/api/v1/visits")

    assert [row[name] for name in ("latitude", "longitude", "uncertainty_m", "cell")] == [
        None,
        None,
        None,
        "root",
    ]


@pytest.mark.usefixtures("small")
def test_default_order_is_by_day_then_id(reader: Actor) -> None:
    found = rows(reader, "/api/v1/counts")

    keys = [(row["sampled_on"], row["id"]) for row in found]
    assert keys == sorted(keys)  # the school's month comes before any of its days


@pytest.mark.usefixtures("small")
def test_occurrences_are_the_counted_lines_under_their_standard_names(reader: Actor) -> None:
    counted = rows(reader, "/api/v1/counts?state=counted")

    occurrences = rows(reader, "/api/v1/occurrences")

    numbers = {
        f"http://localhost:8000/id/occurrence/{row['id']}": row["number"]
        for row in counted
        if row["occurrence_status"]
    }
    assert len(numbers) < len(counted), "a zero beside finds is no occurrence"
    assert {row["occurrenceID"]: row["individualCount"] for row in occurrences} == numbers
    assert {row["occurrenceStatus"] for row in occurrences} == {"present", "absent"}
    assert {row["geodeticDatum"] for row in occurrences} == {"EPSG:4326"}
    assert "" not in {value for row in occurrences for value in row.values()}


def test_occurrence_columns_are_terms_of_darwin_core() -> None:
    listed = reference_rows("darwin_core_terms.csv")  # the term list of TDWG, re-keyed
    terms = {row["term_iri"].rpartition("/")[2] for row in listed}

    assert set(COLLECTION_FIELDS["occurrences"]) <= terms


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_record_is_read_by_its_id(reader: Actor, small: SmallRelease, collection: str) -> None:
    record = getattr(small, collection)[0]
    address = f"/api/v1/{collection}/{record.id}"

    answer = reader.get(address)

    (listed,) = [
        row for row in rows(reader, f"/api/v1/{collection}") if row["id"] == str(record.id)
    ]
    assert answer.json()["data"] == listed
    assert answer.json()["links"]["self"] == f"http://localhost:8000{address}?release=1"
    etag = answer.headers["ETag"]
    assert reader.get(address, **{"If-None-Match": etag}).status_code == 304


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_unknown_record_is_not_found(reader: Actor, collection: str) -> None:
    answer = reader.get(f"/api/v1/{collection}/{uuid4()}")

    assert answer.status_code == 404
    assert reader.get(f"/api/v1/{collection}/17").status_code == 404


def test_record_is_read_as_it_stood_in_a_release(reader: Actor, small: SmallRelease) -> None:
    visit = small.visits[0]
    ReleaseFactory.create(number=2)
    type(visit).objects.filter(row=visit.row).update(until_release=2)
    address = f"/api/v1/visits/{visit.id}"

    assert reader.get(f"{address}?release=1").status_code == 200
    assert reader.get(address).status_code == 404


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_withdrawn_record_leaves_id_day_and_reason_only(reader: Actor, collection: str) -> None:
    stone = TombstoneFactory.create(withdrawn_on="2025-07-01", reason_class="sender_error")

    answer = reader.get(f"/api/v1/{collection}/{stone.id}")

    problem = answer.json()
    assert answer.status_code == 410
    assert {name: problem[name] for name in ("id", "withdrawn_on", "reason_class")} == {
        "id": str(stone.id),
        "withdrawn_on": "2025-07-01",
        "reason_class": "sender_error",
    }
    assert set(problem) == {
        "type", "title", "status", "detail", "instance", "id", "withdrawn_on", "reason_class",
    }  # fmt: skip


def test_hidden_row_is_shown_nowhere(reader: Actor, small: SmallRelease) -> None:
    visit = small.visits[0]
    for rows_of_kind in (small.visits, small.pits, small.counts):
        type(rows_of_kind[0]).objects.filter(visit_id=visit.id).update(hidden=True)

    for collection in (*COLLECTIONS, "occurrences"):
        assert str(visit.id) not in str(reader.rows(f"/api/v1/{collection}"))
    assert reader.get(f"/api/v1/visits/{visit.id}").status_code == 404
    assert reader.get(f"/id/visit/{visit.id}").status_code == 404


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("cursor", ["garbage", "", "a:b", "%00", "%ff"])
def test_garbage_cursor_is_a_problem(reader: Actor, cursor: str) -> None:
    answer = reader.get(f"/api/v1/pits?cursor={cursor}")

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/cursor-invalid")


@pytest.mark.usefixtures("small")
def test_tampered_cursor_is_a_problem(reader: Actor) -> None:
    address = reader.get("/api/v1/pits?limit=1").json()["links"]["next"]

    answer = reader.get(address.replace("cursor=W", "cursor=X"))

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/cursor-invalid")


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    "change",
    [
        ("/pits?", "/pits?habitat=lawn&"),
        ("/pits?", "/pits?sort=-sampled_on&"),
        ("/pits?", "/pits?sort=sorting_minutes&"),
        ("/pits?", "/visits?"),
        ("/pits?", "/counts?"),
        ("release=1", "release=2"),
    ],
)
def test_cursor_of_another_query_is_a_problem(reader: Actor, change: tuple[str, str]) -> None:
    ReleaseFactory.create(number=2)
    address = reader.get("/api/v1/pits?limit=1&release=1").json()["links"]["next"]

    answer = reader.get(address.replace(*change))

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/cursor-mismatch")


@pytest.mark.usefixtures("small")
def test_page_size_and_columns_may_change_under_a_cursor(reader: Actor) -> None:
    address = reader.get("/api/v1/pits?limit=1").json()["links"]["next"]

    answer = reader.get(address.replace("limit=1", "limit=50&fields=habitat"))

    assert answer.json()["page"]["returned"] == 3


@pytest.mark.usefixtures("small")
def test_walk_of_a_collection_meets_each_row_once(reader: Actor) -> None:
    whole = [row["id"] for row in rows(reader, "/api/v1/counts")]

    for limit in (1, 5, 31, 32, 33):
        found = [row["id"] for row in reader.rows(f"/api/v1/counts?limit={limit}")]
        assert found == whole
