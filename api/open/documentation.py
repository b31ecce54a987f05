"""What the OpenAPI document says of the open addresses."""

from typing import Any

import django_filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse

from api.open.filters import FILTERS, WORDS
from api.open.formats import COLLECTIONS, NDJSON, PARQUET
from api.open.parameters import SORTS
from api.open.rows import DICTIONARY
from api.parameters import MAX_LIMIT
from api.schema import SHARED, problems
from portal.records.fields import Field

_TYPES: dict[str, dict[str, Any]] = {
    "id": {"type": "string", "format": "uuid"},
    "text": {"type": "string"},
    "word": {"type": "string"},
    "words": {"type": "array", "items": {"type": "string"}},
    "whole number": {"type": "integer"},
    "number": {"type": "number"},
    "yes/no": {"type": "boolean"},
    "date": {"type": "string", "pattern": r"^\d{4}-\d{2}(-\d{2})?$"},
    "day": {"type": "string", "format": "date"},
}
META: dict[str, Any] = {
    "type": "object",
    "required": ["release", "license", "citation", "query", "notice"],
    "properties": {
        "release": {"type": "integer"},
        "license": {
            "type": "object",
            "required": ["id", "url"],
            "properties": {"id": {"type": "string"}, "url": {"type": "string"}},
        },
        "citation": {"type": "string"},
        "query": {"type": "string", "description": "The query, normalised and reproducible."},
        "notice": {"type": "string"},
    },
}
_ABOUT: dict[str, Any] = {
    "links": {
        "type": "object",
        "properties": {part: {"type": ["string", "null"]} for part in ("self", "next", "prev")},
    },
    "page": {
        "type": "object",
        "required": ["returned"],
        "properties": {
            "returned": {"type": "integer"},
            "matched": {"type": "integer"},
            "estimated": {
                "type": "boolean",
                "description": "Present and true where more than 10,000 match and the number is "
                "an estimate.",
            },
        },
    },
    "meta": META,
}
# What any answer about a release may be instead.
REFUSALS: dict[Any, OpenApiResponse] = {
    304: OpenApiResponse(description="Not changed."),
    **problems(400, 404, 412, 429),
}
_GEOJSON = "As features (RFC 7946): the outline of each published cell."


def collection(name: str) -> dict[str, Any]:
    """Return the description of a collection."""
    body = {
        "type": "object",
        "required": ["data", *_ABOUT],
        "properties": {"data": {"type": "array", "items": row_schema(name)}, **_ABOUT},
    }
    return {
        "operation_id": f"list_{name}",
        "tags": ["read"],
        "summary": f"{name.capitalize()} of a release, filtered and paged",
        "parameters": [*_paging(name), *filter_parameters(name)],
        "responses": {
            (200, "application/json"): OpenApiResponse(body, description="One page."),
            (200, "application/geo+json"): OpenApiResponse(_features(name), description=_GEOJSON),
            (200, "text/csv"): OpenApiResponse(OpenApiTypes.STR, description="As CSV."),
            (200, NDJSON): OpenApiResponse(OpenApiTypes.STR, description="One row a line."),
            (200, PARQUET): OpenApiResponse(OpenApiTypes.BINARY, description="As GeoParquet 1.1."),
            303: OpenApiResponse(description="All rows are in a ready file: see Location."),
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 404, 406, 412, 429),
        },
    }


def record(name: str) -> dict[str, Any]:
    """Return the description of a single record."""
    body = {
        "type": "object",
        "required": ["data", "links", "meta"],
        "properties": {"data": row_schema(name), "links": {"type": "object"}, "meta": META},
    }
    return {
        "operation_id": f"read_{name}",
        "tags": ["read"],
        "summary": f"One record of {name} by its permanent id",
        "parameters": [RELEASE],
        "responses": {
            (200, "application/json"): OpenApiResponse(body, description="The record."),
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 404, 410, 412, 429),
        },
    }


def row_schema(name: str) -> dict[str, Any]:
    """Return the JSON Schema of a row."""
    fields = DICTIONARY[name]
    return {
        "type": "object",
        "required": [field.name for field in fields],
        "properties": {field.name: _property(field) for field in fields},
    }


def _features(name: str) -> dict[str, Any]:
    feature = {
        "type": "object",
        "required": ["type", "id", "geometry", "properties"],
        "properties": {
            "type": {"const": "Feature"},
            "id": {"type": "string"},
            "geometry": {"type": ["object", "null"]},
            "properties": row_schema(name),
        },
    }
    return {
        "type": "object",
        "required": ["type", "features", *_ABOUT],
        "properties": {
            "type": {"const": "FeatureCollection"},
            "bbox": {"type": "array", "items": {"type": "number"}},
            "features": {"type": "array", "items": feature},
            **_ABOUT,
        },
    }


def filter_parameters(name: str) -> list[OpenApiParameter]:
    """Return the filters of a collection."""
    return [
        OpenApiParameter(
            filter_name, _filter_type(found), description=_filter_words(filter_name, found)
        )
        for filter_name, found in FILTERS[name].base_filters.items()
    ]


_LIMIT = (
    f"Rows of a page, at most {MAX_LIMIT}; all with f=csv, ndjson or parquet streams every row, or "
    "leads to the ready file (303) where the query is a whole table of a release."
)
RELEASE = OpenApiParameter("release", OpenApiTypes.INT, description="Default: the current one.")


def _paging(name: str) -> list[OpenApiParameter]:
    sorts = ", ".join(SORTS[name])
    return [
        RELEASE,
        OpenApiParameter("fields", str, description="Names of columns, by commas."),
        OpenApiParameter("sort", str, description=f"One of {sorts}; with - for descending."),
        OpenApiParameter("limit", str, description=_LIMIT),
        OpenApiParameter("cursor", str, description="From links.next or links.prev."),
        OpenApiParameter(
            "count",
            str,
            enum=["about", "exact", "none"],
            description="Default about: exact up to 10,000 rows, else an estimate that says so.",
        ),
        OpenApiParameter("bom", str, enum=["true", "false"], description="CSV for spreadsheets."),
        OpenApiParameter("f", str, enum=[*COLLECTIONS.values()], description="Wins over Accept."),
    ]


def _property(field: Field) -> dict[str, Any]:
    schema = dict(_TYPES[field.type])
    if field.null_means:
        schema["type"] = [schema["type"], "null"]
    words = [field.definition, f"Unit: {field.unit}." if field.unit else ""]
    words.append(f"Null: {field.null_means}." if field.null_means else "")
    schema["description"] = " ".join(word for word in words if word)
    return schema


def _filter_type(found: django_filters.Filter) -> Any:
    kinds: list[tuple[type, Any]] = [
        (django_filters.DateFilter, OpenApiTypes.DATE),
        (django_filters.NumberFilter, OpenApiTypes.NUMBER),
        (django_filters.BooleanFilter, OpenApiTypes.BOOL),
        (django_filters.UUIDFilter, OpenApiTypes.UUID),
    ]
    return next((kind for base, kind in kinds if isinstance(found, base)), OpenApiTypes.STR)


def _filter_words(name: str, found: django_filters.Filter) -> str:
    if name == "bbox":
        return "west,south,east,north in degrees; the published cell centre lies inside."
    if name in WORDS:
        return "Any of, by commas: " + ", ".join(sorted(WORDS[name]))
    if name.startswith(("min_", "max_")):
        return f"{found.field_name} at {'least' if name.startswith('min_') else 'most'} this."
    return "Any of, by commas." if isinstance(found, django_filters.BaseInFilter) else ""


SHARED |= {
    "Meta": META,
    "Visit": row_schema("visits"),
    "Pit": row_schema("pits"),
    "Count": row_schema("counts"),
    "Occurrence": row_schema("occurrences"),
}
