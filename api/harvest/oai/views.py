"""The one address of the protocol."""

from collections.abc import Mapping
from typing import IO, Any

from django.http import HttpResponse, QueryDict
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from api.harvest.oai.arguments import read_arguments
from api.harvest.oai.faults import Fault
from api.harvest.oai.verbs import answer_verb
from api.harvest.oai.xml_answer import answer, error
from api.negotiation import ViewChooses
from api.parsing import StrictJSONParser
from api.permissions import Open
from api.throttling import OpenThrottle


class ArgumentsParser(StrictJSONParser):
    """Read arguments sent as a form, within the limit of any body."""

    media_type = "application/x-www-form-urlencoded"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> QueryDict:
        """Return the arguments."""
        return QueryDict(super().parse(stream, media_type, parser_context))


class OpenByPost(Open):
    """Let everybody read by POST too: the protocol asks for it, and no verb changes a thing."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether the request reads."""
        return request.method == "POST" or super().has_permission(request, view)


class OaiView(APIView):
    """Readable by everybody, by GET or POST, within the limit of requests."""

    permission_classes = [OpenByPost]
    throttle_classes = [OpenThrottle]
    parser_classes = [ArgumentsParser]
    content_negotiation_class = ViewChooses

    @extend_schema(exclude=True)
    def get(self, request: Request) -> HttpResponse:
        """Answer the arguments of the address."""
        return _answer(request.query_params)

    @extend_schema(exclude=True)
    def post(self, request: Request) -> HttpResponse:
        """Answer the arguments of the body, and any of the address with them."""
        given = request.query_params.copy()
        given.update(request.data)
        return _answer(given)


def _answer(given: QueryDict) -> HttpResponse:
    arguments: dict[str, str] = {}
    try:
        arguments = read_arguments(dict(given.lists()))
        content = answer_verb(arguments)
    except Fault as fault:
        content = error(fault)
        if fault.hides_arguments:
            arguments = {}
    body = answer(content, arguments, timezone.now())
    return HttpResponse(body, content_type="text/xml; charset=utf-8")
