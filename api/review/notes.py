"""The note of a visit: what in it may betray somebody, and letting it be published."""

from dataclasses import asdict
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parameters import require_known
from api.review.reading import read_body
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.checks.queries import concerns
from surveys.moderation.operations import approve_note
from surveys.moderation.refusals import NotAllowed, StaleDecision
from surveys.people.models import Reviewer
from surveys.people.permissions import may_review
from surveys.visits.models import Visit

NOTE_POINTER = "/note"


class NoteApprovalIn(BaseModel):
    """Which revision's note was read and found fit for publication."""

    model_config = ConfigDict(extra="forbid")

    revision: int = Field(ge=1)


class NoteView(ReviewView):
    """The note as it was sent."""

    @extend_schema(
        operation_id="read_note",
        tags=["review"],
        summary="A visit's note, with where it may betray a person or a place",
        description=(
            "`spans` such as `5-13 20-24` give the first character and the one after the last, "
            "counted in Unicode code points from 0."
        ),
        responses={200: json_body("The note."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, group_code: str, client_ref: str) -> Response:
        """Answer the note."""
        require_known(request.query_params, [])
        return Response(_shape(_visit_for(self.reviewer_of(request), group_code, client_ref)))


class NoteApprovalView(ReviewView):
    """Letting a note be published."""

    scopes: ClassVar[dict[str, str]] = {"POST": "review"}

    @extend_schema(
        operation_id="approve_note",
        tags=["review"],
        summary="Let a note be published from the next release on; a later correction ends it",
        request=NoteApprovalIn,
        responses={
            200: json_body("The note."),
            **problems(400, 401, 403, 404, 412, 415, 422, 429),
        },
    )
    def post(self, request: Request, group_code: str, client_ref: str) -> Response:
        """Approve the note of the revision that was read.

        Raises
        ------
        Problem
            If the visit changed meanwhile, or is not for this reviewer.
        """
        require_known(request.query_params, [])
        reviewer = self.reviewer_of(request)
        visit = _visit_for(reviewer, group_code, client_ref)
        visit.revision = read_body(request, NoteApprovalIn).revision
        try:
            approve_note(visit=visit, reviewer=reviewer, at=timezone.now())
        except NotAllowed as error:
            code = "not-allowed"
            raise Problem(code, str(error)) from error
        except StaleDecision as error:
            code = "revision-stale"
            raise Problem(code, str(error), current=error.current) from error
        visit.refresh_from_db()
        return Response(_shape(visit))


def _visit_for(reviewer: Reviewer, group_code: str, client_ref: str) -> Visit:
    """Return a visit whose note a reviewer may read.

    Raises
    ------
    Problem
        If there is none (404), or it is of the reviewer's household (403).
    """
    visit = Visit.objects.filter(group__code=group_code, client_ref=client_ref).first()
    code = "not-found"
    if visit is None:
        raise Problem(code)
    code = "not-allowed"
    if not may_review(reviewer, visit.participant):
        raise Problem(code)
    return visit


def _shape(visit: Visit) -> dict[str, Any]:
    return {
        "group": visit.group.code,
        "client_ref": visit.client_ref,
        "revision": visit.revision,
        "note": visit.note,
        "is_approved": visit.note_approved,
        "open_questions": [
            asdict(concern) for concern in concerns(visit) if concern.pointer == NOTE_POINTER
        ],
    }
