"""The token itself, and the protocols to follow."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.partners.base import PartnerView
from api.schema import json_body, problems
from api.tokens import token_of
from surveys.protocol.queries import all_versions


class MeView(PartnerView):
    """The token itself."""

    @extend_schema(
        operation_id="read_me",
        tags=["partner"],
        summary="Group, token name, scopes and expiry",
        responses={200: json_body("The token."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer whose token this is."""
        token = token_of(request)
        return Response(
            {
                "group": self.group_of(request).code,
                "token": {"name": token.name, "prefix": token.prefix, "scopes": token.scopes},
                "expires_at": f"{token.expires_at:%Y-%m-%dT%H:%M:%SZ}",
                "last_used_at": f"{token.last_used_at:%Y-%m-%dT%H:%M:%SZ}"
                if token.last_used_at
                else None,
            }
        )


class ProtocolsView(PartnerView):
    """Protocols to follow."""

    @extend_schema(
        operation_id="list_protocols",
        tags=["partner"],
        summary="Every protocol version: steps, lines of the form, limits, cautions",
        responses={200: json_body("Protocols."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer all protocol versions as data."""
        del request
        return Response({"data": [version.definition for version in all_versions()]})
