"""Possible doubles across people and groups, for reviewers only."""

from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import BaseModel, ConfigDict
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.parameters import read_limit, refuse, require_known
from api.review.reading import read_body
from api.review.shapes import instant
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.checks.models import DoublePair, Verdict
from surveys.moderation.doubles import judge, pairs_for
from surveys.moderation.refusals import NotAllowed, NotDecidable
from surveys.visits.models import Visit

PAGE, MOST = 50, 200
MAX_DIGITS = 18
_PAIR: dict[str, Any] = {
    "id": {"type": "integer"},
    "found_at": {"type": "string", "format": "date-time"},
    "visits": {"type": "array", "items": {"type": "object"}},
    "verdict": {"type": ["string", "null"], "enum": [*Verdict.values, None]},
}


class VerdictIn(BaseModel):
    """What was found of a pair."""

    model_config = ConfigDict(extra="forbid")

    verdict: Verdict


class DoublesView(ReviewView):
    """Pairs that wait."""

    @extend_schema(
        operation_id="list_possible_doubles",
        tags=["review"],
        summary="Visits of any group near one place on one day with the same numbers, in pairs",
        description="Senders never learn of pairs with other groups: that would tell of places.",
        parameters=[
            OpenApiParameter("limit", int, description=f"1 to {MOST}, else {PAGE}."),
            OpenApiParameter("after", int, description="Continue behind the pair of this id."),
        ],
        responses={
            200: json_body(
                "Pairs.",
                {"data": {"type": "array", "items": {"type": "object", "properties": _PAIR}}},
            ),
            **problems(400, 401, 403, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer a page of pairs."""
        require_known(request.query_params, ["limit", "after"])
        limit = read_limit(request.query_params, default=PAGE, most=MOST)
        after = request.query_params.get("after", "0")
        if not (after.isascii() and after.isdigit() and len(after) <= MAX_DIGITS):
            refuse("after", after, "the id of a pair")
        page = list(pairs_for(self.reviewer_of(request)).filter(pk__gt=int(after))[: limit + 1])
        following = None
        if len(page) > limit:
            page = page[:limit]
            query = f"limit={limit}&after={page[-1].pk}"
            following = address(f"/api/v1/review/doubles?{query}")
        return Response({"data": [_shape(pair) for pair in page], "links": {"next": following}})


class VerdictView(ReviewView):
    """Judging a pair."""

    scopes: ClassVar[dict[str, str]] = {"POST": "review"}

    @extend_schema(
        operation_id="judge_possible_double",
        tags=["review"],
        summary="Say whether two visits are one",
        description="If they are, decline one of them with the reason `double`.",
        request=VerdictIn,
        responses={
            200: json_body("The pair.", _PAIR),
            **problems(400, 401, 403, 404, 409, 415, 422, 429),
        },
    )
    def post(self, request: Request, number: int) -> Response:
        """Judge a pair.

        Raises
        ------
        Problem
            If there is no such pair, it is not for this reviewer, or it was judged.
        """
        require_known(request.query_params, [])
        pair = DoublePair.objects.filter(pk=number).first()
        code = "not-found"
        if pair is None:
            raise Problem(code)
        verdict, reviewer = read_body(request, VerdictIn).verdict, self.reviewer_of(request)
        try:
            pair = judge(pair=pair, verdict=verdict, reviewer=reviewer, at=timezone.now())
        except NotAllowed as error:
            code = "not-allowed"
            raise Problem(code, str(error)) from error
        except NotDecidable as error:
            code = "wrong-state"
            raise Problem(code, str(error)) from error
        return Response(_shape(pair))


def _shape(pair: DoublePair) -> dict[str, Any]:
    return {
        "id": pair.pk,
        "found_at": instant(pair.found_at),
        "visits": [_side(visit) for visit in (pair.first, pair.second)],
        "verdict": pair.verdict or None,
    }


def _side(visit: Visit) -> dict[str, Any]:
    group, ref = visit.group.code, visit.client_ref
    return {
        "group": group,
        "client_ref": ref,
        "state": visit.state,
        "visited_on": visit.visited_on.isoformat(),
        "links": {"self": address(f"/api/v1/review/visits/{group}/{ref}")},
    }
