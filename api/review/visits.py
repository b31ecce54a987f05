"""One visit before a reviewer: reading it, claiming it, and giving an opinion on it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from typing import ClassVar, Literal

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parameters import require_known
from api.review.reading import read_body
from api.review.shapes import VISIT, brief, detailed, etag, instant
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.moderation.claims import claim, let_go
from surveys.moderation.models import Decision
from surveys.moderation.operations import Change, review
from surveys.moderation.permissions import require_allowed
from surveys.moderation.refusals import (
    ClaimedByOther,
    NotAllowed,
    NotDecidable,
    StaleDecision,
)
from surveys.moderation.versions import version_tagged
from surveys.protocol.vocabulary import EcologicalGroup, LifeStage, PhaseKind
from surveys.visits.models import Visit


class ChangeIn(BaseModel):
    """A new determination of one counted line."""

    model_config = ConfigDict(extra="forbid")

    pit: int = Field(ge=1, le=10)
    phase: PhaseKind
    group: EcologicalGroup
    stage: LifeStage
    taxon: str = ""
    number: int = Field(ge=0, le=100_000)


class DecisionIn(BaseModel):
    """An opinion on the version that If-Match names."""

    model_config = ConfigDict(extra="forbid")

    decision: Literal["accepted", "accepted_with_change", "asked_back", "declined"]
    reason_code: str = ""
    message: str = Field("", max_length=2000)
    changes: list[ChangeIn] = Field(default_factory=list, max_length=60)


class VisitView(ReviewView):
    """One visit."""

    @extend_schema(
        operation_id="read_visit_to_review",
        tags=["review"],
        summary="A visit as it was sent, with what the checks said and its version as ETag",
        description=(
            "Opinions of a running round are told only to the one who is asked for the third: a "
            "second look is blind."
        ),
        responses={
            200: json_body("The visit.", VISIT),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, group_code: str, client_ref: str) -> Response:
        """Answer one visit."""
        require_known(request.query_params, [])
        visit = _visit(group_code, client_ref)
        with _told():
            require_allowed(visit, self.reviewer_of(request))
        return Response(detailed(visit), headers={"ETag": etag(visit)})


class ClaimView(ReviewView):
    """Claiming a visit, and letting go of it."""

    scopes: ClassVar[dict[str, str]] = {"POST": "review", "DELETE": "review"}

    @extend_schema(
        operation_id="claim_visit",
        tags=["review"],
        summary="Claim a visit for some minutes; again to claim it for longer",
        description=(
            "While the claim is in force the visit is in nobody else's queue, and nobody else can "
            "decide on it. It ends with the decision, or by itself."
        ),
        request=None,
        responses={
            200: json_body("The claim.", {"expires_at": {"type": "string", "format": "date-time"}}),
            **problems(400, 401, 403, 404, 409, 412, 415, 429),
        },
    )
    def post(self, request: Request, group_code: str, client_ref: str) -> Response:
        """Claim a visit."""
        require_known(request.query_params, [])
        visit, reviewer = _visit(group_code, client_ref), self.reviewer_of(request)
        with _told():
            held = claim(visit=visit, reviewer=reviewer, at=timezone.now())
        return Response(
            {"visit": brief(visit), "expires_at": instant(held.expires_at)},
            headers={"ETag": etag(visit)},
        )

    @extend_schema(
        operation_id="let_go_of_visit",
        tags=["review"],
        summary="End one's own claim",
        responses={204: None, **problems(400, 401, 403, 404, 429)},
    )
    def delete(self, request: Request, group_code: str, client_ref: str) -> HttpResponse:
        """Let go of a visit."""
        require_known(request.query_params, [])
        let_go(visit=_visit(group_code, client_ref), reviewer=self.reviewer_of(request))
        return Response(status=204)


class DecisionView(ReviewView):
    """Giving an opinion."""

    scopes: ClassVar[dict[str, str]] = {"POST": "review"}

    @extend_schema(
        operation_id="decide",
        tags=["review"],
        summary="Accept, accept with change, ask back or decline a visit",
        description=(
            "Where the visit is drawn for a blind second look, or two looks differ, the opinion is "
            "kept and the visit waits for somebody else: `standing` is then `held`."
        ),
        request=DecisionIn,
        parameters=[
            OpenApiParameter("If-Match", str, location=OpenApiParameter.HEADER, required=True)
        ],
        responses={
            200: json_body("The opinion and where the visit stands."),
            **problems(400, 401, 403, 404, 409, 412, 415, 422, 428, 429),
        },
    )
    def post(self, request: Request, group_code: str, client_ref: str) -> Response:
        """Store an opinion."""
        require_known(request.query_params, [])
        visit, reviewer = _visit(group_code, client_ref), self.reviewer_of(request)
        seen = _seen(request, visit)
        sent = read_body(request, DecisionIn)
        with _told():
            made = review(
                visit=visit,
                reviewer=reviewer,
                decision=Decision(sent.decision),
                seen=seen,
                reason_code=sent.reason_code,
                message=sent.message,
                changes=[_change(change) for change in sent.changes],
                at=timezone.now(),
            )
        visit.refresh_from_db()
        return Response(
            brief(visit) | {"decision": made.decision, "standing": made.standing},
            headers={"ETag": etag(visit)},
        )


def _visit(group_code: str, client_ref: str) -> Visit:
    visits = Visit.objects.filter(group__practice_of__isnull=True)
    visit = visits.filter(group__code=group_code, client_ref=client_ref).first()
    if visit is None:
        code = "not-found"
        raise Problem(code)
    return visit


def _seen(request: Request, visit: Visit) -> int:
    """Return the version that the reviewer read, from If-Match; 0 if it names none.

    Raises
    ------
    Problem
        If the header is missing.
    """
    tag = request.headers.get("If-Match")
    if tag is None:
        code = "revision-missing"
        raise Problem(code)
    return version_tagged(visit, tag.strip().strip('"'))


@contextmanager
def _told() -> Iterator[None]:
    """Tell why something was refused.

    Raises
    ------
    Problem
        With status 403, 409, 412 or 422.
    """
    try:
        yield
    except NotAllowed as error:
        code = "not-allowed"
        raise Problem(code, str(error)) from error
    except ClaimedByOther as error:
        code = "claimed"
        raise Problem(code, str(error), until=instant(error.until)) from error
    except StaleDecision as error:
        code, tag = "revision-stale", f'"{error.tag}"'
        happened = [
            asdict(one) | {"at": None if one.at is None else instant(one.at)}
            for one in error.happened
        ]
        raise Problem(
            code,
            str(error),
            current=tag,
            state=str(error.state),
            happened=happened,
            headers={"ETag": tag},
        ) from error
    except NotDecidable as error:
        code = "invalid-records"
        raise Problem(code, str(error)) from error


def _change(sent: ChangeIn) -> Change:
    return Change(
        pit=sent.pit,
        phase=sent.phase.value,
        group=sent.group.value,
        stage=sent.stage.value,
        taxon=sent.taxon,
        number=sent.number,
    )
