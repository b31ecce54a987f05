"""The token itself, and the protocols to follow."""

from typing import ClassVar

from django.http import StreamingHttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.partners.base import PartnerView
from api.partners.reading import only_known
from api.schema import json_body, problems
from api.tokens import token_of
from portal.personal.group_data import group_data
from surveys.people.coordination import role_of
from surveys.protocol.queries import all_versions


class MeView(PartnerView):
    """The token itself."""

    practises = True

    @extend_schema(
        operation_id="read_me",
        tags=["partner"],
        summary="Group, token name, scopes and expiry",
        responses={200: json_body("The token."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer whose token this is."""
        token, group = token_of(request), self.group_of(request)
        real = group.practice_of
        return Response(
            {
                "group": (real or group).code,
                "practice": real is not None,
                "token": {
                    "name": token.name,
                    "prefix": token.prefix,
                    "role": role_of(token.scopes),
                    "scopes": token.scopes,
                },
                "expires_at": f"{token.expires_at:%Y-%m-%dT%H:%M:%SZ}",
                "last_used_at": f"{token.last_used_at:%Y-%m-%dT%H:%M:%SZ}"
                if token.last_used_at
                else None,
            }
        )


class ProtocolsView(PartnerView):
    """Protocols to follow."""

    practises = True

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


class ExportView(PartnerView):
    """Everything that is held of the group."""

    scopes: ClassVar[dict[str, str]] = dict.fromkeys(("GET", "HEAD", "OPTIONS"), "coordinate")

    @extend_schema(
        operation_id="export_group",
        tags=["partner"],
        summary="All data of the group with its history, as one download",
        description=(
            "One JSON object a line: the group, participants with their consents, places, visits "
            "with every revision, findings and reviews, photos, calibrations, submissions word "
            "for word, tokens without secrets. The last line has the kind end and counts the "
            "others; without it the download was cut off."
        ),
        responses={
            (200, "application/x-ndjson"): OpenApiTypes.STR,
            **problems(400, 401, 403, 405, 429),
        },
    )
    def get(self, request: Request) -> StreamingHttpResponse:
        """Answer the lines as they are read."""
        only_known(request)
        group, now = self.group_of(request), timezone.now()
        return StreamingHttpResponse(
            group_data(group, at=now),
            content_type="application/x-ndjson",
            headers={
                "Content-Disposition": f'attachment; filename="{group.code}-{now:%Y-%m-%d}.ndjson"'
            },
        )
