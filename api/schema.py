"""What all faces share in the OpenAPI document."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.utils import OpenApiResponse

from api.errors import MEDIA_TYPE


class BearerScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # library
    """How the document names our tokens."""

    target_class = "api.tokens.BearerToken"
    name = "bearer"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """Return the scheme."""
        del auto_schema
        return {"type": "http", "scheme": "bearer"}


FAULT: dict[str, Any] = {
    "type": "object",
    "required": ["pointer", "code", "severity", "message"],
    "properties": {
        "pointer": {"type": "string", "description": "JSON Pointer into the body sent."},
        "code": {"type": "string"},
        "severity": {"type": "string", "enum": ["error", "query", "note"]},
        "message": {"type": "string"},
        "received": {},
        "allowed": {"type": ["string", "null"]},
        "hint": {"type": "string"},
        "reason": {"type": "string", "description": "Of a check: what exactly it found."},
        "arguments": {"type": "object", "additionalProperties": {"type": "string"}},
        "record": {"type": "string", "description": "client_ref of the visit."},
        "docs": {"type": "string"},
    },
}
PROBLEM: dict[str, Any] = {
    "type": "object",
    "required": ["type", "title", "status", "detail", "instance"],
    "properties": {
        "type": {"type": "string", "format": "uri"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "instance": {"type": "string"},
        "errors": {"type": "array", "items": FAULT},
    },
    "additionalProperties": True,
}


# Schemas of the faces, shared by name; each face adds its own when it is imported.
SHARED: dict[str, dict[str, Any]] = {}


def problems(*statuses: int) -> dict[Any, OpenApiResponse]:
    """Return problem documents for statuses."""
    return {
        (status, MEDIA_TYPE): OpenApiResponse(PROBLEM, description="Problem (RFC 9457).")
        for status in statuses
    }


def json_body(description: str, properties: dict[str, Any] | None = None) -> OpenApiResponse:
    """Return a JSON answer with known members."""
    schema: dict[str, Any] = {"type": "object", "additionalProperties": True}
    if properties:
        schema |= {"properties": properties, "required": list(properties)}
    return OpenApiResponse(schema, description=description)


def share_schemas(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Write each schema that many answers share once, among the components."""
    shared = {"Problem": PROBLEM, "Fault": FAULT, **SHARED}
    components = result.setdefault("components", {}).setdefault("schemas", {})
    result["paths"] = _referring(result["paths"], shared)
    for name, schema in shared.items():
        others = {other: known for other, known in shared.items() if other != name}
        components[name] = _referring(schema, others)
    return result


def choices_as_enums(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Write a single allowed value as an enumeration of one.

    It means the same as ``const``, but clients made by generators then take a choice of it and
    other types for what it is.
    """
    written: dict[str, Any] = _without_const(result)
    return written


def _without_const(node: Any) -> Any:
    if isinstance(node, dict):
        kept = {key: _without_const(value) for key, value in node.items() if key != "const"}
        return kept | ({"enum": [node["const"]]} if "const" in node else {})
    if isinstance(node, list):
        return [_without_const(value) for value in node]
    return node


def _referring(node: Any, shared: dict[str, dict[str, Any]]) -> Any:
    if isinstance(node, dict):
        for name, schema in shared.items():
            if node == schema:
                return {"$ref": f"#/components/schemas/{name}"}
        return {key: _referring(value, shared) for key, value in node.items()}
    if isinstance(node, list):
        return [_referring(value, shared) for value in node]
    return node
