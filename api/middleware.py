"""What every answer of the API carries, and what no answer needs."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import translation

from api.availability import unavailable
from api.cross_origin import CLOSED_PREFIXES, beforehand, tell_origins
from api.deprecations import tell_retirements
from api.languages import HEADER, accepted_language, spoken, tell_language
from api.throttling import tell_limits


class RequestMiddleware:
    """Take one trailing slash as none, open the open faces to browsers, guard pages."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer a request."""
        if request.path_info != "/" and request.path_info.endswith("/"):
            request.path_info = request.path_info[:-1]
        # PostgreSQL refuses this character in a text; no address of ours has it.
        request.path_info = request.path_info.replace("\0", "\N{REPLACEMENT CHARACTER}")
        language = _language_of(request)
        with translation.override(language):
            response = beforehand(request) or self.get_response(request)
        tell_limits(request, response)
        tell_retirements(request, response)
        path = request.path_info
        if path.startswith(CLOSED_PREFIXES):
            response["Cache-Control"] = "private, no-store"
            tell_language(response, language)
            if language != settings.LANGUAGE_CODE and isinstance(response, StreamingHttpResponse):
                response.streaming_content = spoken(language, iter(response))
        tell_origins(request, response)
        response.setdefault(
            "Content-Security-Policy",
            "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
            "frame-ancestors 'none'"
            + ("; upgrade-insecure-requests" if settings.PRODUCTION else ""),
        )
        return response

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer an error that may be over soon."""
        return unavailable(request, error)


def _language_of(request: HttpRequest) -> str:
    """Return in which language the words of an answer are; pages and files have one alone."""
    if not request.path_info.startswith("/api/"):
        return settings.LANGUAGE_CODE
    return accepted_language(request.headers.get(HEADER, ""))
