"""Grants to researchers that touch a group: reading, saying no, and seeing who read what."""

from typing import Any, ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.participants import participant_of
from api.partners.reading import json_object, only_known
from api.partners.shapes import documented
from api.schema import json_body, problems
from surveys.grants.models import ResearchGrant
from surveys.grants.operations import veto_grant
from surveys.grants.queries import ExactRead, exact_reads_of, grants_for
from surveys.intake.reading import read_shape
from surveys.people.models import Group


class VetoIn(BaseModel):
    """Why, if the group wants to say."""

    model_config = ConfigDict(extra="forbid")

    reason: str = Field("", max_length=500)


class OwnGrantsView(PartnerView):
    """Grants that name the group."""

    @extend_schema(
        operation_id="list_own_grants",
        tags=["partner"],
        summary="Researchers who were granted, or will be granted, more of your records",
        responses={200: json_body("Grants."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the grants that name the group."""
        only_known(request)
        group = self.group_of(request)
        return Response({"data": [_shape(grant, group) for grant in grants_for(group)]})


class VetoView(PartnerView):
    """Saying no to a grant."""

    scopes: ClassVar[dict[str, str]] = {"POST": "withdraw"}

    @extend_schema(
        operation_id="veto_grant",
        tags=["partner"],
        summary="Take your records out of a grant, before it starts or at any time after",
        request=VetoIn,
        responses={
            200: json_body("The grant."),
            **problems(400, 401, 403, 404, 415, 422, 429),
        },
    )
    def post(self, request: Request, key: UUID) -> Response:
        """Veto a grant.

        Raises
        ------
        Problem
            If no such grant names the group, or the body has an error.
        """
        only_known(request)
        group = self.group_of(request)
        grant = grants_for(group).filter(key=key).first()
        if grant is None:
            code = "not-found"
            raise Problem(code)
        sent, faults = read_shape(VetoIn, json_object(request))
        if sent is None:
            code = "invalid-records"
            raise Problem(code, **documented(faults))
        veto_grant(grant=grant, group=group, reason=sent.reason, at=timezone.now())
        return Response(_shape(grants_for(group).get(key=key), group))


class ExactReadsView(PartnerView):
    """Who saw a participant's exact places."""

    @extend_schema(
        operation_id="list_exact_reads",
        tags=["partner"],
        summary="Which researchers read exact places of a participant, when and for what",
        responses={200: json_body("Reads."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer the reads."""
        only_known(request)
        participant = participant_of(self.group_of(request), code)
        return Response({"data": [_read(read) for read in exact_reads_of(participant)]})


def _shape(grant: ResearchGrant, group: Group) -> dict[str, Any]:
    return {
        "key": str(grant.key),
        "researcher": grant.researcher,
        "institution": grant.institution,
        "purpose": grant.purpose,
        "fields": grant.fields,
        "starts_on": grant.starts_on.isoformat(),
        "ends_on": grant.ends_on.isoformat(),
        "is_ended": grant.ended_at is not None,
        "is_vetoed": any(veto.group_id == group.pk for veto in grant.vetoes.all()),
    }


def _read(read: ExactRead) -> dict[str, Any]:
    return {
        "read_at": f"{read.at:%Y-%m-%dT%H:%M:%SZ}",
        "researcher": read.researcher,
        "institution": read.institution,
        "purpose": read.purpose,
        "fields": list(read.fields),
        "visit": read.visit,
        "site": read.site,
    }
