"""Registering as a harvester, and confirming which changes have been applied."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.harvest.access import HarvesterOnly, HarvesterToken, RegistrationThrottle
from api.harvest.base import instant
from api.harvest.tokens import read_token, token_of
from api.links import address
from api.parameters import require_known
from api.parsing import read_body
from api.schema import json_body, problems
from api.throttling import OpenThrottle
from portal.harvesters.models import Harvester
from portal.harvesters.operations import acknowledge, leave, register
from portal.records.changes import Position

ME = "/api/v1/harvesters/me"
_LINE = r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]+$"  # one line of text that can be shown
_HOMEPAGE = r"^(https?://[!-~]+)?$"


class HarvesterIn(BaseModel):
    """Who harvests. The name is shown to the people whose records are withdrawn."""

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True)

    name: str = Field(min_length=1, max_length=120, pattern=_LINE)
    contact: str = Field(
        min_length=1, max_length=200, pattern=_LINE, description="Seen by data stewards only."
    )
    homepage: str = Field("", max_length=200, pattern=_HOMEPAGE)


class HarvesterChangeIn(BaseModel):
    """What is to be changed; the rest stays."""

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True)

    name: str = Field("", min_length=1, max_length=120, pattern=_LINE)
    contact: str = Field("", min_length=1, max_length=200, pattern=_LINE)
    homepage: str = Field("", max_length=200, pattern=_HOMEPAGE)


class AcknowledgementIn(BaseModel):
    """How far a harvester has come."""

    model_config = ConfigDict(extra="forbid")

    until: str = Field(max_length=400, description="`meta.resume` of the feed of changes.")


class HarvestersView(APIView):
    """Registering; anybody may, within a strict limit."""

    permission_classes = [AllowAny]
    throttle_classes = [RegistrationThrottle]

    @extend_schema(
        operation_id="register_harvester",
        tags=["harvest"],
        summary="Register as a harvester; the token is shown this once",
        request=HarvesterIn,
        responses={
            201: json_body("The harvester and its token."),
            **problems(400, 413, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Register a harvester."""
        require_known(request.query_params, [])
        sent = read_body(HarvesterIn, request)
        harvester, secret = register(**sent.model_dump(), at=timezone.now())
        return Response(
            _shape(harvester) | {"token": secret}, status=201, headers={"Location": address(ME)}
        )


class MeView(APIView):
    """The harvester that calls."""

    authentication_classes = [HarvesterToken]
    permission_classes = [HarvesterOnly]
    throttle_classes = [OpenThrottle]

    @extend_schema(
        operation_id="read_harvester",
        tags=["harvest"],
        summary="The harvester as registered, and what it confirmed last",
        responses={200: json_body("The harvester."), **problems(400, 401, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the harvester."""
        require_known(request.query_params, [])
        return Response(_shape(_caller(request)))

    @extend_schema(
        operation_id="change_harvester",
        tags=["harvest"],
        summary="Change name, contact or homepage",
        request=HarvesterChangeIn,
        responses={200: json_body("The harvester."), **problems(400, 401, 413, 415, 422, 429)},
    )
    def patch(self, request: Request) -> Response:
        """Change what is named."""
        require_known(request.query_params, [])
        harvester = _caller(request)
        changes = read_body(HarvesterChangeIn, request).model_dump(exclude_unset=True)
        for name, value in changes.items():
            setattr(harvester, name, value)
        harvester.save(update_fields=list(changes))
        return Response(_shape(harvester))

    @extend_schema(
        operation_id="remove_harvester",
        tags=["harvest"],
        summary="Give up the token and have the contact forgotten",
        description="The name stays beside what was confirmed, as the proof that it was.",
        responses={204: OpenApiResponse(description="Done."), **problems(400, 401, 429)},
    )
    def delete(self, request: Request) -> Response:
        """End the registration."""
        require_known(request.query_params, [])
        leave(harvester=_caller(request))
        return Response(status=204)


class AcknowledgementsView(APIView):
    """Confirming changes."""

    authentication_classes = [HarvesterToken]
    permission_classes = [HarvesterOnly]
    throttle_classes = [OpenThrottle]

    @extend_schema(
        operation_id="acknowledge_changes",
        tags=["harvest"],
        summary="Confirm that all changes up to a token have been applied",
        description=(
            "Every release and withdrawal that was read to its end counts as confirmed. Sending "
            "the same or an older token again changes nothing."
        ),
        request=AcknowledgementIn,
        responses={200: json_body("The harvester."), **problems(400, 401, 413, 415, 422, 429)},
    )
    def post(self, request: Request) -> Response:
        """Keep a confirmation."""
        require_known(request.query_params, [])
        harvester = _caller(request)
        position = read_token(read_body(AcknowledgementIn, request).until)
        acknowledge(harvester=harvester, entry=position.done, at=timezone.now())
        return Response(_shape(harvester))


def _caller(request: Request) -> Harvester:
    harvester: object = request.auth
    assert isinstance(harvester, Harvester)  # noqa: S101 -- the permission saw to it
    return harvester


def _shape(harvester: Harvester) -> dict[str, Any]:
    last = harvester.acknowledgements.last()
    return {
        "name": harvester.name,
        "contact": harvester.contact,
        "homepage": harvester.homepage,
        "registered_at": instant(harvester.registered_at),
        "acknowledged": None
        if last is None
        else {
            "until": token_of(Position(last.entry_id)),
            "at": instant(last.acknowledged_at),
        },
        "links": {"self": address(ME), "changes": address("/api/v1/changes")},
    }
