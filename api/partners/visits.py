"""Own visits: where they stand, and correcting them."""

from datetime import timedelta
from typing import ClassVar

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.parsing import body_of
from api.partners.base import PartnerView
from api.partners.reading import (
    choice,
    expected_revision,
    instant,
    json_object,
    only_known,
    revision_tag,
)
from api.partners.shapes import documented, told, visit_report
from api.schema import json_body, problems
from api.tokens import token_of
from portal.publication.changed_places import withdraw_coarsened
from surveys.intake.corrections import NotCorrectable, StaleRevision, correct
from surveys.intake.payload import VisitIn
from surveys.intake.queries import visits_of
from surveys.visits.models import VisitState

PAGE = 200
# What was under way while the list was read is told again next time rather than never.
OVERLAP = timedelta(minutes=5)


class VisitsView(PartnerView):
    """Own visits."""

    practises = True

    @extend_schema(
        operation_id="list_own_visits",
        tags=["partner"],
        summary="Own visits and where their review stands",
        parameters=[
            OpenApiParameter("state", str, enum=list(VisitState.values)),
            OpenApiParameter(
                "changed_since",
                OpenApiTypes.DATETIME,
                description="Sent, corrected, decided or withdrawn at that time or later.",
            ),
            OpenApiParameter("before", str, description="Continue below this client_ref."),
        ],
        responses={
            200: json_body(
                "Visits; links.changes is the address to ask next time.",
                {
                    "data": {"type": "array", "items": {"type": "object"}},
                    "links": {"type": "object"},
                },
            ),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer own visits, newest first, a page at a time."""
        only_known(request, "state", "changed_since", "before")
        asked_at, state = timezone.now(), request.query_params.get("state")
        if state is not None:
            state = choice(request, "state", tuple(VisitState.values))
        visits = visits_of(
            self.group_of(request), state=state, changed_since=instant(request, "changed_since")
        )
        before = request.query_params.get("before")
        if before is not None:
            visits = visits.filter(id__lt=self.visit_of(request, before).pk)
        page = list(visits[: PAGE + 1])
        more, page = len(page) > PAGE, page[:PAGE]
        return Response(
            {
                "data": [visit_report(visit) for visit in page],
                "links": {
                    "next": _list_link(request, before=page[-1].client_ref) if more else None,
                    "changes": _list_link(request, changed_since=told(asked_at - OVERLAP)),
                },
            }
        )


def _list_link(request: Request, **changes: str) -> str:
    """Return the address of the same list with some parameters changed."""
    query = request.query_params.copy()
    if "changed_since" in changes:
        query.pop("before", None)
    for name, value in changes.items():
        query[name] = value
    return address(f"/api/v1/partner/visits?{query.urlencode()}")


class VisitView(PartnerView):
    """One own visit."""

    practises = True

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"PUT": "submit"}

    @extend_schema(
        operation_id="read_own_visit",
        tags=["partner"],
        summary="One own visit, with open questions and reviews",
        responses={200: json_body("The visit."), **problems(401, 403, 404, 429)},
    )
    def get(self, request: Request, client_ref: str) -> Response:
        """Answer one visit with its revision as ETag."""
        visit = self.visit_of(request, client_ref)
        return Response(visit_report(visit), headers={"ETag": revision_tag(visit.revision)})

    @extend_schema(
        operation_id="correct_visit",
        tags=["partner"],
        summary="Correct a visit: a new revision, the old one kept",
        request=VisitIn,
        parameters=[
            OpenApiParameter("If-Match", str, location=OpenApiParameter.HEADER, required=True)
        ],
        responses={
            200: json_body("The visit."),
            **problems(400, 401, 403, 404, 412, 415, 422, 428, 429),
        },
    )
    def put(self, request: Request, client_ref: str) -> Response:
        """Store a correction.

        Raises
        ------
        Problem
            If the revision is stale, or the content has an error.
        """
        visit = self.visit_of(request, client_ref)
        revision = expected_revision(request)
        token, group, now = token_of(request), self.group_of(request), timezone.now()
        try:
            visit, faults = correct(
                group=group,
                token_name=token.name,
                visit=visit,
                body=body_of(request),
                raw=json_object(request),
                revision=revision,
                at=now,
            )
        except StaleRevision as error:
            code = "revision-stale"
            current = revision_tag(error.current)
            raise Problem(code, str(error), current=current, headers={"ETag": current}) from error
        except NotCorrectable as error:
            code = "invalid-records"
            raise Problem(code, **documented(error.faults)) from error
        withdraw_coarsened(group=group, since=now)
        visit.refresh_from_db()
        return Response(
            visit_report(visit) | documented(faults),
            headers={"ETag": revision_tag(visit.revision)},
        )
