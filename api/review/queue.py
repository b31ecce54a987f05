"""The queue of a reviewer, page by page."""

from datetime import datetime
from typing import Any

from django.core import signing
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.parameters import read_limit, require_known
from api.review.shapes import VISIT, brief
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.moderation.queue import Place, behind, waiting_for

SALT = "api.review.queue"
PAGE, MOST = 50, 200
ORDER = "doubt, then value, then age"
_ITEM: dict[str, Any] = {
    "type": "object",
    "properties": VISIT | {"doubt": {"type": "integer"}, "value": {"type": "integer"}},
}


class QueueView(ReviewView):
    """What waits for this reviewer."""

    @extend_schema(
        operation_id="list_waiting",
        tags=["review"],
        summary="Visits that wait for this reviewer: by doubt, then value, then age",
        description=(
            "`doubt` adds up failed checks (5 for what would block, 3 for what holds, 2 for a "
            "proposal, 1 for a note) and 3 for a possible double. `value` has a point for the "
            "first visit within about 5 km and one for a taxon that fewer than five accepted "
            "visits have. Left out are visits of one's own household, those one gave an opinion "
            "on or was appealed against, and those that somebody else has claimed."
        ),
        parameters=[
            OpenApiParameter("limit", int, description=f"1 to {MOST}, else {PAGE}."),
            OpenApiParameter("cursor", str),
        ],
        responses={
            200: json_body("Visits.", {"data": {"type": "array", "items": _ITEM}}),
            **problems(400, 401, 403, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer a page of the visits that wait."""
        require_known(request.query_params, ["limit", "cursor"])
        limit = read_limit(request.query_params, default=PAGE, most=MOST)
        waiting = waiting_for(self.reviewer_of(request), timezone.now())
        cursor = request.query_params.get("cursor")
        if cursor is not None:
            waiting = behind(waiting, _place(cursor))
        page = list(waiting[: limit + 1])
        following = None
        if len(page) > limit:
            page = page[:limit]
            query = f"limit={limit}&cursor={_cursor(page[-1])}"
            following = address(f"/api/v1/review/waiting?{query}")
        return Response(
            {
                "data": [brief(v) | {"doubt": v.doubt, "value": v.value} for v in page],
                "order": ORDER,
                "links": {"next": following},
            }
        )


def _cursor(visit: Any) -> str:
    place = [visit.doubt, visit.value, visit.received_at.isoformat(), visit.pk]
    return signing.Signer(salt=SALT).sign_object(place)


def _place(cursor: str) -> Place:
    """Return where a page begins.

    Raises
    ------
    Problem
        If the cursor was not made here.
    """
    try:
        doubt, value, received_at, visit_id = signing.Signer(salt=SALT).unsign_object(cursor)
        return Place(doubt, value, datetime.fromisoformat(received_at), visit_id)
    except (signing.BadSignature, ValueError, TypeError) as error:
        code = "cursor-invalid"
        raise Problem(code) from error
