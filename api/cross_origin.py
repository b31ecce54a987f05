"""Which pages of other origins may read an answer (CORS): open faces all, partner faces some."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import patch_vary_headers

OPEN_PREFIXES = ("/api/v1", "/files/", "/id/", "/catalogue", "/features", "/oai")
CLOSED_PREFIXES = (
    "/api/v1/partner/",
    "/api/v1/review/",
    "/api/v1/vetted/",
    "/api/v1/harvesters",
)
PARTNER_PREFIX = "/api/v1/partner/"
EXPOSED = (
    "ETag, Link, Content-Range, Accept-Ranges, Content-Disposition, RateLimit, "
    "RateLimit-Policy, Retry-After, Deprecation, Sunset"
)
_OPEN = {
    "Access-Control-Allow-Methods": "GET, HEAD, OPTIONS",
    "Access-Control-Allow-Headers": "Range, If-None-Match",
    "Access-Control-Expose-Headers": EXPOSED,
}
_PARTNER = {
    "Access-Control-Allow-Methods": "GET, HEAD, OPTIONS, POST, PUT, PATCH, DELETE",
    "Access-Control-Allow-Headers": "Authorization, Content-Type, Accept-Language, "
    "Idempotency-Key, If-Match, If-None-Match",
    "Access-Control-Expose-Headers": f"{EXPOSED}, Location, Idempotent-Replayed, WWW-Authenticate",
}


def beforehand(request: HttpRequest) -> HttpResponse | None:
    """Answer a browser that asks, without a token yet, whether a page may call a partner face."""
    asks = request.method == "OPTIONS" and "Access-Control-Request-Method" in request.headers
    return HttpResponse(status=204) if asks and _is_listed(request) else None


def tell_origins(request: HttpRequest, response: HttpResponseBase) -> None:
    """Write into an answer who may read it; a cookie or a password is asked of nobody."""
    path = request.path_info
    if path.startswith(PARTNER_PREFIX):
        _tell_listed(request, response)
    elif path.startswith(OPEN_PREFIXES) and not path.startswith(CLOSED_PREFIXES):
        _write(response, "*", _OPEN)


def _tell_listed(request: HttpRequest, response: HttpResponseBase) -> None:
    if not settings.PARTNER_ORIGINS:
        return
    patch_vary_headers(response, ["Origin"])
    if _is_listed(request):
        _write(response, request.headers["Origin"], _PARTNER)


def _is_listed(request: HttpRequest) -> bool:
    origin = request.headers.get("Origin")
    return request.path_info.startswith(PARTNER_PREFIX) and origin in settings.PARTNER_ORIGINS


def _write(response: HttpResponseBase, origin: str, told: dict[str, str]) -> None:
    response["Access-Control-Allow-Origin"] = origin
    for name, value in told.items():
        response[name] = value
