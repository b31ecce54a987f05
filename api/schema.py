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
