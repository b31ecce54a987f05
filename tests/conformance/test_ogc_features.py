"""OGC API - Features Part 1 (17-069r4) and GeoJSON (RFC 7946): structure, links, paging, filters.

The official schemas are those of the standard, version 1.0.1; where they are not at hand, the rules
checked by hand remain.
"""

import json
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from jsonschema import Draft202012Validator
from openapi_schema_validator import OAS30Validator
from openapi_spec_validator.readers import read_from_filename
from pytest_django import DjangoDbBlocker
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT7
from shapely.geometry import shape

from tests.conformance.conftest import OWN_SETTINGS, everything
from tests.conformance.standards import SHARED, needs_shared
from tests.factories.published import PublishedVisitFactory, place_columns
from tests.modules import undone_at_the_end

pytestmark = pytest.mark.django_db
FACE = "https://data.example.org/features"
COLLECTIONS = ("visits", "pits", "occurrences")
CLASSES = "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/"
OFFICIAL = SHARED / "standards" / "ogc-api-features" / "ogcapi-features-1.yaml"
GEOJSON = SHARED / "standards" / "geojson"
# Which official schema describes which resource.
DESCRIBED_BY = {
    "": "landingPage",
    "/conformance": "confClasses",
    "/collections": "collections",
    "/collections/visits": "collection",
    "/collections/visits/items": "featureCollectionGeoJSON",
    "/collections/pits/items?limit=2": "featureCollectionGeoJSON",
    "/collections/occurrences/items": "featureCollectionGeoJSON",
    "/collections/pits/items?bbox=10,10,11,11": "featureCollectionGeoJSON",
}


@pytest.fixture(scope="module", autouse=True)
def kept(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
) -> Iterator[None]:
    """Make a release with every kind of row once for the module, and a later day in it."""
    with django_db_blocker.unblock(), undone_at_the_end(**OWN_SETTINGS):
        everything()
        day = date(2025, 4, 20)
        days = {"sampled_on": "2025-04-20", "sampled_first_on": day, "sampled_last_on": day}
        PublishedVisitFactory.create(**days, **place_columns("0.001|52.885|-0.714"))
        exact = {"footprint_wkt": "", "latitude": 52.88543, "longitude": -0.71457, "cell_level": 6}
        PublishedVisitFactory.create(**exact, cell="exact|52.88543|-0.71457", precision_deg=0.00001)
        yield


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    cache.clear()


def read(path: str) -> Any:
    answer = Client().get(path.replace(FACE, "/features") if path.startswith(FACE) else path)
    assert answer.status_code == 200, answer.content
    return json.loads(answer.content)


def resource(path: str) -> Any:
    return read(f"/features{path}")


def links(body: Any, relation: str) -> list[dict[str, str]]:
    return [link for link in body["links"] if link["rel"] == relation]


def walked(path: str) -> list[Any]:
    """Return the features of all pages."""
    found, following = [], path
    while following:
        body = read(following)
        found += body["features"]
        assert body["numberReturned"] == len(body["features"])
        following = next((link["href"] for link in links(body, "next")), "")
    return found


# Schemas of the standard's own building blocks, by a validator of their dialect (OpenAPI 3.0).
@needs_shared
@pytest.mark.parametrize(("path", "name"), DESCRIBED_BY.items())
def test_resource_fits_the_official_schema(path: str, name: str) -> None:
    judge = official(name)

    assert [error.message for error in judge.iter_errors(resource(path))] == []


@needs_shared
@pytest.mark.parametrize("name", set(DESCRIBED_BY.values()))
def test_official_schema_would_refuse_another_document(name: str) -> None:
    assert not official(name).is_valid({"type": "Map"})


@needs_shared
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_single_feature_fits_the_official_schema(collection: str) -> None:
    judge = official("featureGeoJSON")

    for feature in resource(f"/collections/{collection}/items?limit=3")["features"]:
        body = resource(f"/collections/{collection}/items/{feature['id']}")
        assert [error.message for error in judge.iter_errors(body)] == []


def official(name: str) -> Any:
    """Return a validator for one schema of the standard.

    The standard's own text lets a geometry be null, as RFC 7946 does; the schema file forgot it.
    """
    document: Any = read_from_filename(str(OFFICIAL))[0]
    schemas = document["components"]["schemas"]
    schemas["geometryGeoJSON"]["nullable"] = True
    schemas["geometryGeoJSON"]["oneOf"].append({"nullable": True, "enum": [None]})
    return OAS30Validator(
        {"$ref": f"#/components/schemas/{name}", "components": {"schemas": schemas}}
    )


# JSON Schemas of RFC 7946 objects, 1.0.5 (geojson/schema).
@needs_shared
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_items_fit_the_schema_of_geojson(collection: str) -> None:
    judge = geojson_schema("FeatureCollection.json")

    found = resource(f"/collections/{collection}/items")

    assert [error.message for error in judge.iter_errors(found)] == []
    assert not judge.is_valid({**found, "type": "Collection"})


def geojson_schema(name: str) -> Any:
    files = [json.loads(file.read_text()) for file in sorted(GEOJSON.glob("*.json"))]
    kept = [(file["$id"], Resource.from_contents(file, DRAFT7)) for file in files]
    registry: Registry[Any] = Registry().with_resources(kept)
    return Draft202012Validator(json.loads((GEOJSON / name).read_text()), registry=registry)


# 17-069r4, requirements 2 and 4 to 6: landing page, definition, conformance.
def test_landing_page_has_the_links_of_the_standard() -> None:
    body = resource("")

    assert {link["rel"] for link in body["links"]} >= {
        "self", "alternate", "service-desc", "service-doc", "conformance", "data",
    }  # fmt: skip
    (definition,) = links(body, "service-desc")
    assert definition["type"] == "application/vnd.oai.openapi+json;version=3.0"
    assert read(definition["href"])["servers"] == [{"url": FACE}]
    assert all(link["href"].startswith(FACE) for link in body["links"])


def test_conformance_claims_four_classes_and_no_more() -> None:
    claimed = resource("/conformance")["conformsTo"]

    assert sorted(claimed) == [CLASSES + name for name in ("core", "geojson", "html", "oas30")]


# Requirement 11 to 16: collections with items and extent.
def test_collection_leads_to_its_items_and_its_licence() -> None:
    listed = resource("/collections")["collections"]

    assert [one["id"] for one in listed] == list(COLLECTIONS)
    for one in listed:
        assert one["itemType"] == "feature"
        items = {link["type"]: link["href"] for link in links(one, "items")}
        assert items["application/geo+json"] == f"{FACE}/collections/{one['id']}/items"
        assert links(one, "license")[0]["href"].startswith("http://creativecommons.org/licenses/")
        alone = resource(f"/collections/{one['id']}")
        assert {name: alone[name] for name in one if name != "links"} == {
            name: one[name] for name in one if name != "links"
        }


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_extent_holds_every_geometry(collection: str) -> None:
    (box,) = resource(f"/collections/{collection}")["extent"]["spatial"]["bbox"]

    shapes = [shape(one["geometry"]).bounds for one in shown(collection)]
    west, south, east, north = (list(edges) for edges in zip(*shapes, strict=True))
    assert box[0] <= min(west)
    assert box[1] <= min(south)
    assert box[2] >= max(east)
    assert box[3] >= max(north)


def shown(collection: str) -> list[Any]:
    features = walked(f"/features/collections/{collection}/items")
    return [feature for feature in features if feature["geometry"]]


# Trap of clients: one kind of geometry in a collection, not all of them null.
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_every_geometry_is_a_polygon_on_the_globe(collection: str) -> None:
    features = shown(collection)

    assert features
    for feature in features:
        outline = shape(feature["geometry"])
        assert outline.geom_type == "Polygon"
        assert outline.is_valid
        assert outline.exterior.is_ccw, "RFC 7946, 3.1.6"
        west, south, east, north = outline.bounds
        assert -180 <= west < east <= 180
        assert -90 <= south < north <= 90


# Our conformance check 32: the links next cover every id once.
@pytest.mark.parametrize("collection", COLLECTIONS)
@pytest.mark.parametrize("limit", [1, 2, 7, 1000])
def test_next_links_cover_all_ids_once(collection: str, limit: int) -> None:
    body = resource(f"/collections/{collection}/items?limit=10000")
    ids = [feature["id"] for feature in body["features"]]

    found = [one["id"] for one in walked(f"/features/collections/{collection}/items?limit={limit}")]

    assert found == ids
    assert len(set(found)) == body["numberMatched"] > 2


# Requirement 24: only features whose geometry intersects the box.
@pytest.mark.parametrize("collection", COLLECTIONS)
@pytest.mark.parametrize("box", ["-0.8,52.8,-0.6,52.9", "-0.72,52.88,-0.71,52.89", "-1,51,0,54"])
def test_features_in_a_box_touch_it(collection: str, box: str) -> None:
    west, south, east, north = map(float, box.split(","))

    found = resource(f"/collections/{collection}/items?bbox={box}")

    assert found["features"]
    for feature in found["features"]:
        if feature["geometry"] is None:  # the planted row, whose coordinates are kept back
            continue
        left, lower, right, upper = shape(feature["geometry"]).bounds
        assert left <= east
        assert right >= west
        assert lower <= north
        assert upper >= south


# Requirement 26: only features whose time intersects the interval.
@pytest.mark.parametrize(
    ("text", "visits"),
    [
        ("2025-04-20", {"2025-04-20"}),
        ("2025-04-20T10:00:00Z", {"2025-04-20"}),
        ("2025-04-01/2025-04-19", {"2025-04-02"}),
        ("2025-04-02T/..", {"2025-04-02", "2025-04-20"}),
        ("../2025-03-14", {"2025-03"}),
        ("2024-01-01/2024-12-31", set()),
    ],
)
def test_features_of_an_interval_are_of_its_days(text: str, visits: set[str]) -> None:
    found = resource(f"/collections/visits/items?datetime={text}")
    counted = read("/api/v1/visits?" + _days(text))["page"]["matched"]

    told = [one["properties"] for one in found["features"]]
    days = {one["sampled_on"] or f"{one['year']}-{one['month']:02}" for one in told}
    assert days == visits
    assert found["numberMatched"] == counted == len(told)


def _days(text: str) -> str:
    """Return an interval in the words of the open API, by hand."""
    start, _, end = text.partition("/")
    ends = {"sampled_from": start[:10], "sampled_to": (end or start)[:10]}
    return "&".join(f"{name}={day}" for name, day in ends.items() if day != "..")


# Requirements 8 and 9: unknown and wrong parameters are 400.
@pytest.mark.parametrize(
    "query", ["colour=red", "bbox=1,2,3", "datetime=spring", "limit=none", "bbox=-200,0,0,1"]
)
def test_wrong_parameter_is_refused(query: str) -> None:
    assert Client().get(f"/features/collections/visits/items?{query}").status_code == 400


# Requirement class html: every answer is there as a page.
def test_every_resource_of_the_definition_is_there_as_a_page() -> None:
    paths = resource("/api")["paths"]

    for path in paths:
        collection = path.split("/")[2] if path.count("/") > 1 else ""
        first = (
            resource(f"/collections/{collection}/items?limit=1")["features"] if collection else [{}]
        )
        address = path.replace("{featureId}", first[0].get("id", ""))
        page = Client().get(f"/features{address}", headers={"Accept": "text/html"})
        assert page.status_code == 200, path
        assert page.headers["Content-Type"].startswith("text/html")
