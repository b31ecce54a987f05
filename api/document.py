"""The OpenAPI document as committed; a check compares it with the code it describes."""

from functools import cache
from pathlib import Path

from django.http import HttpRequest, HttpResponse

DOCUMENT = Path(__file__).parent / "openapi.json"


def openapi_document(request: HttpRequest) -> HttpResponse:
    """Answer the document."""
    del request
    response = HttpResponse(_read(), content_type="application/vnd.oai.openapi+json;version=3.1")
    response["Cache-Control"] = "public, max-age=300"
    return response


@cache
def _read() -> bytes:
    return DOCUMENT.read_bytes()
