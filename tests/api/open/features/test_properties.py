"""Flat properties, and the schema that describes them."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from api.open.features.collections import COLLECTIONS, Collection
from api.open.features.properties import feature_schema
from tests.factories.published import (
    PublishedVisitFactory,
    SmallRelease,
    pit_of,
    place_columns,
)
from tests.journeys.actors import Actor

ALL = pytest.mark.parametrize("collection", COLLECTIONS.values(), ids=lambda one: one.id)


def features(reader: Actor, collection: str, query: str = "") -> list[dict[str, Any]]:
    answer = reader.get(f"/features/collections/{collection}/items{query}")
    assert answer.status_code == 200, answer.json()
    found: list[dict[str, Any]] = json.loads(answer.content)["features"]
    return found


@ALL
@pytest.mark.usefixtures("small")
def test_every_feature_has_every_property_and_is_flat(
    reader: Actor, collection: Collection
) -> None:
    found = features(reader, collection.id)

    names = [field.name for field in collection.fields]
    assert len(found) > 1
    assert {tuple(feature["properties"]) for feature in found} == {tuple(names)}
    values = [value for feature in found for value in feature["properties"].values()]
    assert not [value for value in values if isinstance(value, list | dict)]


@ALL
def test_exactly_one_property_is_a_date(collection: Collection) -> None:
    types = {field.name: field.type for field in collection.fields}

    assert [name for name, kind in types.items() if kind in {"date", "day"}] == ["sampled_on"]
    assert "words" not in {types[name] for name in collection.equals}


@ALL
def test_what_can_be_asked_for_is_a_property(collection: Collection) -> None:
    names = {field.name for field in collection.fields}

    assert set(collection.equals) <= names
    assert set(collection.shown) <= names


# JSON Schema draft 2020-12, by an independent validator.
@ALL
@pytest.mark.usefixtures("small")
def test_feature_fits_its_schema(reader: Actor, collection: Collection) -> None:
    PublishedVisitFactory.create(**place_columns("root"), group_code=None)
    schema = feature_schema(collection, "http://localhost:8000/schema")
    Draft202012Validator.check_schema(schema)
    judge = Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)

    for feature in features(reader, collection.id):
        assert [error.message for error in judge.iter_errors(feature)] == []
    broken = features(reader, collection.id)[0]
    broken["properties"]["year"] = "2025"
    assert not judge.is_valid(broken)


@ALL
def test_schema_names_one_type_where_clients_read_it(collection: Collection) -> None:
    """GDAL 3.12 takes a type of two words as text; seen with 3.12.4."""
    told = feature_schema(collection, "here")["properties"]["properties"]["properties"]

    assert {type(one["type"]) for one in told.values()} == {str}


@pytest.mark.usefixtures("small")
def test_values_keep_their_kind(reader: Actor) -> None:
    visit = PublishedVisitFactory.create(group_code="KIND")
    pit_of(visit, depth_cm=20.0, management=["limed", "mown"])
    pit_of(visit, depth_cm=2.75, management=[])
    pit_of(visit, depth_cm=3.0, management=None)

    answer = reader.get("/features/collections/pits/items?group_code=KIND")

    assert b'"depth_cm":20.0' in answer.content
    assert b'"depth_cm":2.75' in answer.content
    told = [feature["properties"]["management"] for feature in answer.json()["features"]]
    assert sorted(told, key=str) == sorted(["limed|mown", "", None], key=str)


@pytest.mark.usefixtures("small")
def test_day_is_null_where_only_the_month_is_published(reader: Actor) -> None:
    told = [one["properties"] for one in features(reader, "visits")]

    days = [(one["sampled_on"], one["year"], one["month"]) for one in told]
    assert days == [(None, 2025, 3), ("2025-03-15", 2025, 3)]


def test_values_are_those_of_the_open_api(reader: Actor, small: SmallRelease) -> None:
    pit = small.pits[0]
    row = reader.get(f"/api/v1/pits/{pit.id}").json()["data"]

    (told,) = [one for one in features(reader, "pits") if one["id"] == str(pit.id)]

    both = set(COLLECTIONS["pits"].columns) - {"management"}
    assert {name: told["properties"][name] for name in both} == {name: row[name] for name in both}
    assert len(both) > 30
