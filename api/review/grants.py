"""Grants to vetted researchers, made and ended by stewards."""

from datetime import date
from typing import Annotated, Any, ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parameters import refuse, require_known
from api.review.reading import read_body
from api.review.stewards import StewardView
from api.schema import json_body, problems
from surveys.grants.models import GrantField, ResearchGrant
from surveys.grants.operations import Extent, GrantRefused, Researcher, end_grant, make_grant
from surveys.intake.payload import Code
from surveys.people.models import Group

Line = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]


class GrantIn(BaseModel):
    """Who may see what of which groups, for what and until when."""

    model_config = ConfigDict(extra="forbid")

    researcher: Line
    institution: Line
    contact: Line
    purpose: str = Field(min_length=1, max_length=1000)
    fields: list[GrantField] = Field(min_length=1, max_length=len(GrantField))
    groups: list[Code] = Field(min_length=1, max_length=100)
    starts_on: date = Field(description="Leave the groups time to say no.")
    ends_on: date = Field(description="The first day on which it no longer holds.")


class GrantsView(StewardView):
    """All grants."""

    scopes: ClassVar[dict[str, str]] = StewardView.scopes | {"POST": "steward"}

    @extend_schema(
        operation_id="list_grants",
        tags=["review"],
        summary="Grants to vetted researchers with the groups that said no",
        responses={200: json_body("Grants."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the grants."""
        self.steward_of(request)
        require_known(request.query_params, [])
        grants = ResearchGrant.objects.order_by("-id").prefetch_related("groups", "vetoes__group")
        return Response({"data": [_shape(grant) for grant in grants]})

    @extend_schema(
        operation_id="make_grant",
        tags=["review"],
        summary="Let a researcher see more of groups' records, for a purpose and a time",
        request=GrantIn,
        responses={
            201: json_body("The grant with its token, shown once.", {"token": {"type": "string"}}),
            **problems(400, 401, 403, 409, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Make a grant.

        Raises
        ------
        Problem
            If a group is unknown, or the grant covers nothing.
        """
        steward = self.steward_of(request)
        require_known(request.query_params, [])
        sent = read_body(request, GrantIn)
        try:
            grant, token = make_grant(
                researcher=Researcher(sent.researcher, sent.institution, sent.contact),
                extent=Extent(
                    purpose=sent.purpose,
                    fields=sent.fields,
                    groups=_groups(sent.groups),
                    starts_on=sent.starts_on,
                    ends_on=sent.ends_on,
                ),
                at=timezone.now(),
                by=f"reviewer {steward.code}",
            )
        except GrantRefused as error:
            code = "wrong-state"
            raise Problem(code, str(error)) from error
        return Response(_shape(grant) | {"token": token}, status=201)


class GrantEndView(StewardView):
    """Ending a grant."""

    scopes: ClassVar[dict[str, str]] = {"POST": "steward"}

    @extend_schema(
        operation_id="end_grant",
        tags=["review"],
        summary="End a grant at once",
        request=None,
        responses={
            200: json_body("The grant."),
            **problems(400, 401, 403, 404, 409, 415, 429),
        },
    )
    def post(self, request: Request, key: UUID) -> Response:
        """End a grant.

        Raises
        ------
        Problem
            If there is none of this key, or it was ended before.
        """
        steward = self.steward_of(request)
        require_known(request.query_params, [])
        grant = ResearchGrant.objects.filter(key=key).first()
        code = "not-found"
        if grant is None:
            raise Problem(code)
        code = "wrong-state"
        try:
            end_grant(grant=grant, at=timezone.now(), by=f"reviewer {steward.code}")
        except GrantRefused as error:
            raise Problem(code, str(error)) from error
        grant.refresh_from_db()
        return Response(_shape(grant))


def _groups(codes: list[str]) -> list[Group]:
    found = {group.code: group for group in Group.objects.filter(code__in=codes)}
    for code in codes:
        if code not in found:
            refuse("groups", code, "codes of known groups")
    return list(found.values())


def _shape(grant: ResearchGrant) -> dict[str, Any]:
    return {
        "key": str(grant.key),
        "researcher": grant.researcher,
        "institution": grant.institution,
        "contact": grant.contact,
        "purpose": grant.purpose,
        "fields": grant.fields,
        "groups": sorted(group.code for group in grant.groups.all()),
        "vetoed_by": sorted(veto.group.code for veto in grant.vetoes.all()),
        "starts_on": grant.starts_on.isoformat(),
        "ends_on": grant.ends_on.isoformat(),
        "in_force": ResearchGrant.objects.in_force(timezone.now()).filter(pk=grant.pk).exists(),
    }
