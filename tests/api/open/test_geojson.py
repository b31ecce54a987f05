"""Features as RFC 7946 has them; shapely reads the geometries."""

from typing import Any

import pytest
import shapely
from shapely.geometry import shape

from api.open.geojson import PRECISION
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    place_columns,
)
from tests.journeys.actors import Actor

COLLECTIONS = ("visits", "pits", "counts", "occurrences")


def features(reader: Actor, address: str) -> tuple[Any, list[dict[str, Any]]]:
    answer = reader.get(address)
    assert answer.status_code == 200, answer.json()
    assert answer.headers["Content-Type"] == "application/geo+json"  # RFC 7946, section 12
    body = answer.json()
    return body, body["features"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_features_are_the_rows_of_json(reader: Actor, collection: str) -> None:
    page = reader.get(f"/api/v1/{collection}").json()

    body, found = features(reader, f"/api/v1/{collection}?f=geojson")

    assert body["type"] == "FeatureCollection"
    assert [feature["properties"] for feature in found] == page["data"]
    assert [feature["id"] for feature in found] == [next(iter(r.values())) for r in page["data"]]
    assert {feature["type"] for feature in found} == {"Feature"}
    assert body["meta"] == page["meta"]
    assert body["page"] == page["page"]
    assert "crs" not in body  # RFC 7946, section 4


@pytest.mark.usefixtures("small")
def test_geometry_is_the_published_cell_longitude_first(reader: Actor) -> None:
    body, found = features(reader, "/api/v1/visits?f=geojson")

    for feature in found:
        told = feature["properties"]
        cell = shape(feature["geometry"])
        assert cell.is_valid
        assert cell.exterior.is_ccw  # RFC 7946, section 3.1.6
        assert cell.centroid.x == pytest.approx(told["longitude"])
        assert cell.centroid.y == pytest.approx(told["latitude"])
    whole = shapely.union_all([shape(feature["geometry"]) for feature in found])
    assert tuple(body["bbox"]) == whole.bounds  # west, south, east, north: section 5


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_how_exact_a_place_is_always_stands_beside_it(reader: Actor, collection: str) -> None:
    _, found = features(
        reader,
        f"/api/v1/{collection}?f=geojson&fields=habitat"
        if collection != "visits"
        else "/api/v1/visits?f=geojson&fields=season",
    )

    for feature in found:
        assert set(PRECISION[collection]) < set(feature["properties"])
        assert len(feature["properties"]) == len(PRECISION[collection]) + 2  # id and what was asked


@pytest.mark.django_db
def test_withheld_place_is_a_feature_without_geometry(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    PublishedVisitFactory.create(**place_columns("root"))

    body, found = features(reader, "/api/v1/visits?f=geojson")

    assert [feature["geometry"] for feature in found] == [None]
    assert "bbox" not in body


@pytest.mark.django_db
def test_point_without_a_cell_stays_a_point(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    PublishedVisitFactory.create(footprint_wkt="", latitude=52.5, longitude=-0.25)

    body, found = features(reader, "/api/v1/visits?f=geojson")

    assert found[0]["geometry"] == {"type": "Point", "coordinates": [-0.25, 52.5]}
    assert body["bbox"] == [-0.25, 52.5, -0.25, 52.5]


@pytest.mark.usefixtures("small")
def test_features_can_be_paged(reader: Actor) -> None:
    body, found = features(reader, "/api/v1/pits?f=geojson&limit=3")

    _, more = features(reader, body["links"]["next"])

    assert len({feature["id"] for feature in found + more}) == 4


@pytest.mark.usefixtures("small")
def test_accept_asks_for_features_too(reader: Actor) -> None:
    answer = reader.get("/api/v1/pits", Accept="application/geo+json")

    assert answer.json()["type"] == "FeatureCollection"
