"""Read request bodies as bytes; the strict reader decides what is JSON."""

from collections.abc import Mapping
from typing import IO, Any, TypeVar

from django.conf import settings
from pydantic import BaseModel, ValidationError
from rest_framework.parsers import BaseParser
from rest_framework.request import Request

from api.body_faults import body_fault
from api.errors import Problem, with_docs

Shape = TypeVar("Shape", bound=BaseModel)


class StrictJSONParser(BaseParser):
    """Hand the very bytes on, so that they can be kept word for word."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return the body as bytes.

        Raises
        ------
        Problem
            If it is larger than the limit.
        """
        del media_type, parser_context
        limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        body = stream.read(limit + 1)
        if len(body) > limit:
            code = "too-large"
            raise Problem(code, f"The body is over the limit of {limit} bytes.")
        return bytes(body)


def body_of(request: Request) -> bytes:
    """Return the very bytes of the body; an empty one gives none."""
    body: object = request.data
    return body if isinstance(body, bytes) else b""


def read_body(shape: type[Shape], request: Request) -> Shape:
    """Return the body in its shape.

    Raises
    ------
    Problem
        If it is no JSON, or not of this shape.
    """
    code = "body-not-json"
    try:
        return shape.model_validate_json(body_of(request), strict=True)
    except ValidationError as error:
        faults = error.errors(include_url=False, include_context=False)
        if any(fault["type"] == "json_invalid" for fault in faults):
            raise Problem(code) from error
        code = "invalid-records"
        raise Problem(code, **with_docs([body_fault(fault) for fault in faults])) from error
