"""What a reviewer decides, and what a steward releases."""

from dataclasses import asdict
from typing import Any, ClassVar, Literal

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.errors import Problem
from api.links import address
from api.review.reading import read_body
from api.schema import json_body, problems
from api.throttling import TokenThrottle
from api.tokens import BearerToken, ReviewerScope, token_of
from portal.publication.operations import ReleaseRefused, make_release
from surveys.checks.queries import concerns
from surveys.moderation.models import Decision
from surveys.moderation.operations import (
    Change,
    NotAllowed,
    NotDecidable,
    StaleDecision,
    review,
)
from surveys.moderation.queries import review_texts, waiting_for
from surveys.moderation.reasons import REASONS
from surveys.people.models import Reviewer
from surveys.people.permissions import may_release
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
    """A decision on one revision."""

    model_config = ConfigDict(extra="forbid")

    decision: Literal["accepted", "accepted_with_change", "asked_back", "declined"]
    revision: int = Field(ge=1)
    reason_code: str = ""
    message: str = Field("", max_length=2000)
    changes: list[ChangeIn] = Field(default_factory=list, max_length=60)


class ReviewView(APIView):
    """For a reviewer's token with the scope that the method needs."""

    authentication_classes = [BearerToken]
    permission_classes = [ReviewerScope]
    throttle_classes = [TokenThrottle]
    scopes: ClassVar[dict[str, str]] = {"GET": "review", "HEAD": "review", "OPTIONS": "review"}

    def reviewer_of(self, request: Request) -> Reviewer:
        """Return the reviewer who holds the token."""
        reviewer = token_of(request).reviewer
        assert reviewer is not None  # noqa: S101 -- the permission saw to it
        return reviewer


class QueueView(ReviewView):
    """What waits for this reviewer."""

    @extend_schema(
        operation_id="list_waiting",
        tags=["review"],
        summary="Visits that wait for this reviewer, the doubtful first",
        responses={200: json_body("Visits."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the visits that wait."""
        waiting = waiting_for(self.reviewer_of(request))
        return Response({"data": [_brief(visit) for visit in waiting]})


class ReasonsView(ReviewView):
    """Reason codes."""

    @extend_schema(
        operation_id="list_reasons",
        tags=["review"],
        summary="Reason codes with the text that the sender reads",
        responses={200: json_body("Reasons."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the reason codes."""
        del request
        return Response(
            {
                "data": [
                    {
                        "code": reason.code,
                        "decisions": sorted(reason.decisions),
                        "text": reason.text,
                    }
                    for reason in REASONS.values()
                ]
            }
        )


class DecisionView(ReviewView):
    """Deciding on a visit."""

    scopes: ClassVar[dict[str, str]] = {"POST": "review"}

    @extend_schema(
        operation_id="decide",
        tags=["review"],
        summary="Accept, accept with change, ask back or decline a visit",
        request=DecisionIn,
        responses={
            200: json_body("The decision."),
            **problems(400, 401, 403, 404, 412, 415, 422, 429),
        },
    )
    def post(self, request: Request, group_code: str, client_ref: str) -> Response:
        """Store a decision.

        Raises
        ------
        Problem
            If the visit is unknown, not for this reviewer, changed meanwhile, or the decision
            does not fit it.
        """
        visit = Visit.objects.filter(group__code=group_code, client_ref=client_ref).first()
        if visit is None:
            code = "not-found"
            raise Problem(code)
        sent = read_body(request, DecisionIn)
        try:
            made = review(
                visit=visit,
                reviewer=self.reviewer_of(request),
                decision=Decision(sent.decision),
                revision=sent.revision,
                reason_code=sent.reason_code,
                message=sent.message,
                changes=[_change(change) for change in sent.changes],
                at=timezone.now(),
            )
        except NotAllowed as error:
            code = "not-allowed"
            raise Problem(code, str(error)) from error
        except StaleDecision as error:
            code = "revision-stale"
            raise Problem(
                code, str(error), current=error.current, state=str(error.state)
            ) from error
        except NotDecidable as error:
            code = "invalid-records"
            raise Problem(code, str(error)) from error
        visit.refresh_from_db()
        return Response(_brief(visit) | {"decision": made.decision})


class ReleasesView(ReviewView):
    """Making a release."""

    scopes: ClassVar[dict[str, str]] = {"POST": "steward"}

    @extend_schema(
        operation_id="make_release",
        tags=["review"],
        summary="Publish what is accepted and consented as the next release",
        request=None,
        responses={201: json_body("The release."), **problems(401, 403, 409, 429)},
    )
    def post(self, request: Request) -> Response:
        """Make a release.

        Raises
        ------
        Problem
            If the caller is no steward, or the release would break a promise.
        """
        steward = self.reviewer_of(request)
        code = "not-allowed"
        if not may_release(steward):
            raise Problem(code, "Only a data steward makes releases.")
        code = "wrong-state"
        try:
            release = make_release(at=timezone.now(), by=f"reviewer {steward.code}")
        except ReleaseRefused as error:
            raise Problem(code, str(error)) from error
        where = address(f"/api/v1/releases/{release.number}")
        return Response(
            {"number": release.number, "links": {"self": where}},
            status=201,
            headers={"Location": where},
        )


def _change(sent: ChangeIn) -> Change:
    return Change(
        pit=sent.pit,
        phase=sent.phase.value,
        group=sent.group.value,
        stage=sent.stage.value,
        taxon=sent.taxon,
        number=sent.number,
    )


def _brief(visit: Visit) -> dict[str, Any]:
    return {
        "group": visit.group.code,
        "client_ref": visit.client_ref,
        "revision": visit.revision,
        "state": visit.state,
        "visited_on": visit.visited_on.isoformat(),
        "open_questions": [asdict(concern) for concern in concerns(visit)],
        "reviews": [asdict(text) for text in review_texts(visit)],
    }
