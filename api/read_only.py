"""What a process that serves the public side alone does with a request to change something."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from api.errors import plain_problem

READING = ("GET", "HEAD", "OPTIONS")
# The protocol lets the same questions be asked by POST; they change nothing.
ASKED_BY_POST = "/oai"


class ReadOnlyMiddleware:
    """Refuse every other method before any view: the database would refuse it too, less plainly."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request, or say that nothing can be changed here."""
        if request.method in READING or request.path_info == ASKED_BY_POST:
            return self.get_response(request)
        response = plain_problem("method-not-allowed", "This service only reads.")
        response["Allow"] = ", ".join(READING)
        return response
