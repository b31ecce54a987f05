"""What the OpenAPI document says of snapshots."""

from collections.abc import Sequence
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse

from api.open.documentation import META
from api.open.formats import COLLECTIONS, NDJSON, PARQUET
from api.parameters import MAX_LIMIT
from api.schema import SHARED, problems

_WORDS = {"type": "array", "items": {"type": "string"}}
_COUNTED = {
    "type": "object",
    "required": ["rows", "sha256"],
    "properties": {"rows": {"type": "integer"}, "sha256": {"type": "string"}},
}
_COUNTED_THEN = _COUNTED | {
    "properties": {
        "rows": {"type": "integer"},
        "sha256": {"type": ["string", "null"], "description": "Null once rows were taken out."},
    }
}
_STATE: dict[str, Any] = {
    "type": "object",
    "required": ["verdict", "rows_now", "withdrawn", "withdrawn_rows", "not_shown", "retold"],
    "properties": {
        "verdict": {"type": "string", "enum": ["unchanged", "rows-missing", "rows-retold"]},
        "rows_now": {"type": "integer"},
        "withdrawn": {"type": "integer", "description": "Rows withdrawn since."},
        "withdrawn_rows": {
            "type": "array",
            "description": "A page of them, in the order of their withdrawal; see links.next.",
            "items": {
                "type": "object",
                "required": ["id", "withdrawn_on", "reason_class"],
                "properties": {
                    "id": {"type": "string", "format": "uuid"},
                    "withdrawn_on": {"type": "string", "format": "date"},
                    "reason_class": {"type": "string"},
                },
            },
        },
        "not_shown": {
            "type": "integer",
            "description": "Rows that are hidden for now and may be shown again. Their "
            "ids are not told: each answers as an id that never was.",
        },
        "retold": {
            "type": "integer",
            "description": "Rows that tell less than then: a name, a group's code or a rare word "
            "was taken off to protect somebody.",
        },
    },
}
SNAPSHOT: dict[str, Any] = {
    "type": "object",
    "required": [
        "id", "page", "query", "release", "collection", "fields", "sort", "rows", "size_bytes",
        "sha256", "sha256_of", "created_at", "citation", "groups", "other_groups", "license",
        "state",
    ],
    "properties": {
        "id": {"type": "string"},
        "page": {"type": "string", "format": "uri", "description": "The permanent address."},
        "query": {"type": "string", "description": "Normalised; the release is always named."},
        "release": {"type": "integer"},
        "collection": {"type": "string", "enum": ["visits", "pits", "counts", "occurrences"]},
        "fields": _WORDS,
        "sort": {"type": "string"},
        "rows": {"type": "integer", "description": "Rows on the day of freezing."},
        "size_bytes": {"type": ["integer", "null"], "description": "Told as long as sha256 is."},
        "sha256": {
            "type": ["string", "null"],
            "description": "Null once a row was withdrawn, hidden or retold: see links.check.",
        },
        "sha256_of": {"type": "string", "description": "Which bytes the checksum is of."},
        "created_at": {"type": "string", "format": "date-time"},
        "citation": {"type": "string"},
        "groups": {**_WORDS, "description": "Contributing groups that may be named."},
        "other_groups": {"type": "boolean", "description": "Others contributed as well."},
        "license": META["properties"]["license"],
        "state": _STATE,
    },
}  # fmt: skip
_BODY = {
    "type": "object",
    "required": ["data", "links", "meta"],
    "properties": {"data": SNAPSHOT, "links": {"type": "object"}, "meta": META},
}
_CHECK = {
    "type": "object",
    "required": ["data", "links", "meta"],
    "properties": {
        "data": {
            "type": "object",
            "required": ["equal", "then", "now", "withdrawn", "not_shown"],
            "properties": {
                "equal": {"type": "boolean"},
                "then": _COUNTED_THEN,
                "now": _COUNTED,
                "withdrawn": {"type": "integer"},
                "not_shown": {"type": "integer"},
            },
        },
        "links": {"type": "object"},
        "meta": META,
    },
}
_ROWS = {
    "type": "object",
    "required": ["links", "page", "meta"],
    "properties": {
        "data": {"type": "array", "items": {"type": "object"}},
        "links": {"type": "object"},
        "page": {"type": "object"},
        "meta": META,
    },
}
_UNCHANGED = {304: OpenApiResponse(description="Not changed.")}
_CURSOR = OpenApiParameter("cursor", str, description="From links.next or links.prev.")


def freezing(body: Any) -> dict[str, Any]:
    """Return the description of freezing a query."""
    return {
        "operation_id": "freeze_query",
        "tags": ["snapshots"],
        "summary": "Freeze a query: a permanent address with a checksum and a citation",
        "description": (
            "The same query of the same release is frozen once; asking again gives the same "
            "snapshot. Names of recorders are never frozen: they may be taken back at any time. "
            "Within a strict limit for each address. A service whose database may only "
            "be read cannot freeze."
        ),
        "request": body,
        "responses": {
            201: OpenApiResponse(_BODY, description="Frozen; see Location."),
            200: OpenApiResponse(_BODY, description="Frozen already."),
            **problems(400, 404, 413, 415, 422, 429),
        },
    }


def record() -> dict[str, Any]:
    """Return the description of a snapshot."""
    limit = f"Withdrawn rows of a page, at most {MAX_LIMIT}."
    return {
        "operation_id": "read_snapshot",
        "tags": ["snapshots"],
        "summary": "A snapshot, and which of its rows were withdrawn since",
        "parameters": [OpenApiParameter("limit", int, description=limit), _CURSOR],
        "responses": {
            (200, "application/json"): OpenApiResponse(_BODY, description="The snapshot."),
            **_UNCHANGED,
            **problems(400, 404, 412, 429),
        },
    }


def rows() -> dict[str, Any]:
    """Return the description of the rows of a snapshot."""
    limit = (
        f"Places in the frozen order, at most {MAX_LIMIT} a page; a withdrawn row leaves its place "
        "empty. All with f=csv, ndjson or parquet streams every row."
    )
    return {
        "operation_id": "list_snapshot_rows",
        "tags": ["snapshots"],
        "summary": "The rows of a snapshot again, in the frozen order",
        "parameters": [
            OpenApiParameter("limit", str, description=limit),
            _CURSOR,
            OpenApiParameter("bom", str, enum=["true", "false"], description="For spreadsheets."),
            OpenApiParameter("f", str, enum=[*COLLECTIONS.values()], description="Over Accept."),
        ],
        "responses": {
            (200, "application/json"): OpenApiResponse(_ROWS, description="One page."),
            (200, "application/geo+json"): OpenApiResponse(_ROWS, description="As features."),
            (200, "text/csv"): OpenApiResponse(OpenApiTypes.STR, description="As CSV."),
            (200, NDJSON): OpenApiResponse(OpenApiTypes.STR, description="One row a line."),
            (200, PARQUET): OpenApiResponse(OpenApiTypes.BINARY, description="As GeoParquet 1.1."),
            **_UNCHANGED,
            **problems(400, 404, 406, 412, 429),
        },
    }


def check() -> dict[str, Any]:
    """Return the description of checking a snapshot."""
    return {
        "operation_id": "check_snapshot",
        "tags": ["snapshots"],
        "summary": "Read all rows again and compare count and checksum with those of then",
        "description": "Within the same strict limit as freezing.",
        "responses": {
            (200, "application/json"): OpenApiResponse(_CHECK, description="Then and now."),
            **_UNCHANGED,
            **problems(400, 404, 409, 412, 413, 429),
        },
    }


def citation(names: Sequence[str], media_types: Sequence[str]) -> dict[str, Any]:
    """Return the description of the citation of a snapshot."""
    return {
        "operation_id": "read_snapshot_citation",
        "tags": ["snapshots"],
        "summary": "How to cite a snapshot, for reference managers",
        "parameters": [OpenApiParameter("f", str, enum=[*names], description="Over Accept.")],
        "responses": {
            **{
                (200, kind): OpenApiResponse(OpenApiTypes.STR, description="The citation.")
                for kind in media_types
            },
            **_UNCHANGED,
            **problems(400, 404, 406, 412, 429),
        },
    }


SHARED |= {"Snapshot": SNAPSHOT}
