"""Published rows as flat properties, and the JSON Schema of the features that carry them."""

from collections.abc import Callable
from typing import Any

from api.open.features.collections import Collection
from api.open.rows import row_writer
from portal.archive.cells import LIST_SEPARATOR
from portal.records.fields import Field
from portal.records.models import Release

# What a feature tells otherwise than the open API.
_OWN: dict[str, Callable[[Any], Any]] = {
    "sampled_on": lambda row: row.sampled_on if row.date_precision == "day" else None,
    "year": lambda row: row.sampled_first_on.year,
    "month": lambda row: row.sampled_first_on.month,
    "group": lambda row: row.group,
    "method": lambda row: row.method,
}
_TYPES: dict[str, dict[str, Any]] = {
    "id": {"type": "string", "format": "uuid"},
    "text": {"type": "string"},
    "word": {"type": "string"},
    "words": {"type": "string"},
    "whole number": {"type": "integer"},
    "number": {"type": "number"},
    "yes/no": {"type": "boolean"},
    "day": {"type": "string", "format": "date"},
}
_POSITION = {
    "type": "array",
    "minItems": 2,
    "maxItems": 2,
    "items": {"type": "number"},
}
_CELL: dict[str, Any] = {
    "type": ["object", "null"],
    "description": "Outline of the published grid cell, WGS 84, longitude first; null where "
    "coordinates are withheld.",
    "required": ["type", "coordinates"],
    "properties": {
        "type": {"const": "Polygon"},
        "coordinates": {
            "type": "array",
            "minItems": 1,
            "items": {"type": "array", "minItems": 4, "items": _POSITION},
        },
    },
}


def properties_writer(release: Release, collection: Collection) -> Callable[[Any], dict[str, Any]]:
    """Return what turns a published row into the properties of a feature."""
    told_of = row_writer(release, collection.id, collection.columns)
    fields = collection.fields

    def properties(row: Any) -> dict[str, Any]:
        told = told_of(row)
        return {
            field.name: _flat(
                _OWN[field.name](row) if field.name in _OWN else told[field.name], field
            )
            for field in fields
        }

    return properties


def _flat(value: Any, field: Field) -> Any:
    """Return a value as clients keep it: lists as one text, measured values with a point."""
    if isinstance(value, list):
        return LIST_SEPARATOR.join(value)
    if field.type == "number" and value is not None:
        return float(value)
    return value


def feature_schema(collection: Collection, here: str) -> dict[str, Any]:
    """Return the JSON Schema of a whole feature, from which clients take types of columns.

    GDAL 3.12 reads a type of two words, as of what may be null, as text. Such properties stand
    under ``patternProperties``, which it does not read, so that it looks at the values instead.
    """
    fields = collection.fields
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": here,
        "title": collection.title,
        "description": collection.description,
        "type": "object",
        "required": ["type", "id", "geometry", "properties"],
        "properties": {
            "type": {"const": "Feature"},
            "id": {"type": "string", "format": "uuid"},
            "geometry": _CELL,
            "properties": {
                "type": "object",
                "required": [field.name for field in fields],
                "properties": {one.name: _property(one) for one in fields if not one.null_means},
                "patternProperties": {
                    f"^{one.name}$": _property(one) for one in fields if one.null_means
                },
                "additionalProperties": False,
            },
        },
    }


def value_schema(field: Field) -> dict[str, Any]:
    """Return the JSON Schema of a value of a property."""
    return dict(_TYPES[field.type])


def _property(field: Field) -> dict[str, Any]:
    schema = value_schema(field)
    if field.null_means:
        schema["type"] = [schema["type"], "null"]
    words = [field.definition, "Words joined by |." if field.type == "words" else ""]
    words.append(f"Unit: {field.unit}." if field.unit else "")
    words.append(f"Null: {field.null_means}." if field.null_means else "")
    return schema | {
        "title": field.label,
        "description": " ".join(word for word in words if word),
    }
