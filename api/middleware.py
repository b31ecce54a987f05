"""What every answer of the API carries, and what no answer needs."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from api.deprecations import tell_retirements
from api.throttling import tell_limits

OPEN_PREFIXES = ("/api/v1", "/files/", "/id/", "/catalogue", "/features", "/oai")
CLOSED_PREFIXES = (
    "/api/v1/partner/",
    "/api/v1/review/",
    "/api/v1/vetted/",
    "/api/v1/harvesters",
)
EXPOSED = (
    "ETag, Link, Content-Range, Accept-Ranges, Content-Disposition, RateLimit, "
    "RateLimit-Policy, Retry-After, Deprecation, Sunset"
)


class RequestMiddleware:
    """Take one trailing slash as none, open the open faces to browsers, guard pages."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request."""
        if request.path_info != "/" and request.path_info.endswith("/"):
            request.path_info = request.path_info[:-1]
        # PostgreSQL refuses this character in a text; no address of ours has it.
        request.path_info = request.path_info.replace("\0", "\N{REPLACEMENT CHARACTER}")
        response = self.get_response(request)
        tell_limits(request, response)
        tell_retirements(request, response)
        path = request.path_info
        if path.startswith(CLOSED_PREFIXES):
            response["Cache-Control"] = "private, no-store"
        elif path.startswith(OPEN_PREFIXES):
            response["Access-Control-Allow-Origin"] = "*"
            response["Access-Control-Allow-Methods"] = "GET, HEAD, OPTIONS"
            response["Access-Control-Allow-Headers"] = "Range, If-None-Match"
            response["Access-Control-Expose-Headers"] = EXPOSED
        response.setdefault(
            "Content-Security-Policy",
            "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
            "frame-ancestors 'none'"
            + ("; upgrade-insecure-requests" if settings.PRODUCTION else ""),
        )
        return response
