"""The shape of a visit under each protocol version, for everybody who writes a sender.

It is served with the partner face, since it is made from what checks submissions; it needs no
token and tells nothing about anybody.
"""

from django.http import JsonResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from api.errors import Problem
from api.links import address
from api.partners.reading import only_known
from api.permissions import Open
from api.schema import problems
from api.throttling import OpenThrottle
from surveys.protocol.queries import protocol_named
from surveys.uploads.schemas import visit_schema

MEDIA_TYPE = "application/schema+json"


class ProtocolSchemaView(APIView):
    """JSON Schema of a visit."""

    authentication_classes = []
    permission_classes = [Open]
    throttle_classes = [OpenThrottle]

    @extend_schema(
        operation_id="read_protocol_schema",
        tags=["partner"],
        summary="JSON Schema of a visit under a protocol version",
        auth=[],
        responses={(200, MEDIA_TYPE): OpenApiTypes.OBJECT, **problems(400, 404, 429)},
    )
    def get(self, request: Request, key: str, version: str) -> JsonResponse:
        """Answer the schema.

        Raises
        ------
        Problem
            If there is no such protocol version.
        """
        only_known(request)
        protocol = protocol_named(f"{key}/{version}")
        if protocol is None:
            code = "not-found"
            raise Problem(code)
        here = address(f"/api/v1/protocols/{protocol}/schema")
        return JsonResponse(visit_schema(protocol.read(), here), content_type=MEDIA_TYPE)
