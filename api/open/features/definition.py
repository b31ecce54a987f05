"""The definition of the face in OpenAPI 3.0, small and made by hand.

Clients read from it which conditions they may leave to us: a parameter that is named like a
property must mean "equals", for they do not check the answer again.
"""

from collections.abc import Sequence
from typing import Any

from django.conf import settings

from api.errors import MEDIA_TYPE
from api.links import address
from api.open.features.calls import FACE, HTML
from api.open.features.collections import COLLECTIONS, Collection
from api.open.features.parameters import DEFAULT_LIMIT, MAX_LIMIT
from api.open.features.properties import value_schema
from api.open.filters import WORDS
from api.open.formats import GEOJSON, JSON
from portal.records.fields import Field

OPENAPI = "application/vnd.oai.openapi+json;version=3.0"
JSON_SCHEMA = "application/schema+json"
_STATUSES = {
    "304": "Not changed.",
    "400": "A parameter is unknown, or its value wrong.",
    "404": "No such release, collection or feature.",
    "406": "No such format.",
    "410": "The record was withdrawn.",
    "429": "Too many requests.",
}
_BOX = (
    "west,south,east,north in degrees, heights in between are taken and say nothing; the centre "
    "of the published cell lies in the box. West greater than east crosses 180 degrees."
)
_INTERVAL = (
    "A day, an instant, or an interval start/end with .. for an open end; the days that the visit "
    "can have been on intersect it."
)
_Object = dict[str, Any]


def definition() -> _Object:
    """Return the whole definition."""
    paths = {
        "/": _resource("landing", "Where to go from here", JSON),
        "/conformance": _resource("conformance", "Parts of the standard that hold here", JSON),
        "/api": _resource("definition", "This definition", OPENAPI),
        "/collections": _resource("collections", "All collections", JSON),
    }
    for collection in COLLECTIONS.values():
        paths |= _paths_of(collection)
    return {
        "openapi": "3.0.3",
        "info": {
            "title": f"{settings.DATASET['name']}: features",
            "description": "A frozen release as OGC API - Features, Part 1.",
            "version": settings.VERSION,
        },
        "servers": [{"url": address(FACE)}],
        "paths": paths,
        "components": {
            "parameters": _parameters(),
            "schemas": {"problem": _problem()},
        },
    }


def _paths_of(collection: Collection) -> _Object:
    base = f"/collections/{collection.id}"
    items = _resource(
        f"{collection.id}_items",
        f"{collection.title} as features",
        GEOJSON,
        parameters=[
            *map(_shared, ("limit", "bbox", "datetime", "cursor")),
            *_property_filters(collection),
        ],
    )
    item = _resource(
        f"{collection.id}_item",
        f"One feature of {collection.title.lower()}",
        GEOJSON,
        parameters=[_shared("featureId")],
        statuses=("304", "400", "404", "406", "410", "429"),
    )
    return {
        base: _resource(f"{collection.id}_collection", collection.title, JSON),
        f"{base}/schema": _resource(
            f"{collection.id}_schema", "JSON Schema of the features", JSON_SCHEMA
        ),
        f"{base}/items": items,
        f"{base}/items/{{featureId}}": item,
    }


def _resource(
    operation: str,
    summary: str,
    media_type: str,
    *,
    parameters: Sequence[_Object] = (),
    statuses: Sequence[str] = ("304", "400", "404", "406", "429"),
) -> _Object:
    problem = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/problem"}}}
    answer = {media_type: {"schema": {"type": "object"}}, HTML: {"schema": {"type": "string"}}}
    responses: _Object = {"200": {"description": "The answer.", "content": answer}}
    for status in statuses:
        content = {} if status == "304" else {"content": problem}
        responses[status] = {"description": _STATUSES[status], **content}
    return {
        "get": {
            "operationId": operation,
            "summary": summary,
            "parameters": [*parameters, _shared("release"), _shared("f")],
            "responses": responses,
        }
    }


def _property_filters(collection: Collection) -> list[_Object]:
    fields = {field.name: field for field in collection.fields}
    return [
        _in_query(name, f"{fields[name].definition} Equals.", _filter_schema(fields[name], words))
        for name, words in collection.equals.items()
    ]


def _filter_schema(field: Field, filters: Sequence[str]) -> _Object:
    words = WORDS.get(filters[0])
    return value_schema(field) | ({"enum": sorted(words)} if words else {})


def _shared(name: str) -> _Object:
    return {"$ref": f"#/components/parameters/{name}"}


def _in_query(name: str, description: str, schema: _Object) -> _Object:
    return {
        "name": name,
        "in": "query",
        "description": description,
        "required": False,
        "schema": schema,
        "style": "form",
        "explode": False,
    }


def _parameters() -> _Object:
    in_query: dict[str, tuple[str, _Object]] = {
        "limit": (
            "Features of a page; more than the most is lowered to it.",
            {"type": "integer", "minimum": 1, "maximum": MAX_LIMIT, "default": DEFAULT_LIMIT},
        ),
        "bbox": (
            _BOX,
            {
                "type": "array",
                "oneOf": [{"minItems": 4, "maxItems": 4}, {"minItems": 6, "maxItems": 6}],
                "items": {"type": "number"},
            },
        ),
        "datetime": (
            _INTERVAL,
            {"type": "string"},
        ),
        "cursor": ("From the link next or prev.", {"type": "string"}),
        "release": ("Number of a release; the current one unless given.", {"type": "integer"}),
        "f": ("Wins over Accept.", {"type": "string", "enum": ["json", "html"]}),
    }
    feature_id = {
        "name": "featureId",
        "in": "path",
        "description": "Permanent random id of the record.",
        "required": True,
        "schema": {"type": "string", "format": "uuid"},
    }
    told = {name: _in_query(name, words, schema) for name, (words, schema) in in_query.items()}
    return told | {"featureId": feature_id}


def _problem() -> _Object:
    return {
        "type": "object",
        "description": "Problem document (RFC 9457).",
        "required": ["type", "title", "status"],
        "properties": {
            "type": {"type": "string", "format": "uri"},
            "title": {"type": "string"},
            "status": {"type": "integer"},
            "detail": {"type": "string"},
        },
    }
