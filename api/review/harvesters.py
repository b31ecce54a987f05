"""Which harvesters are behind with changes and withdrawals, for stewards."""

from datetime import UTC, datetime
from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parameters import require_known
from api.review.views import ReviewView
from api.schema import json_body, problems
from portal.harvesters.queries import Standing, standings
from surveys.people.permissions import may_release


class HarvestersView(ReviewView):
    """Every harvester with its contact."""

    scopes: ClassVar[dict[str, str]] = {"GET": "steward", "HEAD": "steward", "OPTIONS": "steward"}

    @extend_schema(
        operation_id="list_harvesters",
        tags=["review"],
        summary="How far each harvester has confirmed the changes, those behind first",
        description=(
            "What was told before a harvester registered is not counted as outstanding. "
            "`behind_since` is the instant of the first change that it has not confirmed."
        ),
        responses={200: json_body("Harvesters."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer where each harvester stands.

        Raises
        ------
        Problem
            If the caller is no steward.
        """
        require_known(request.query_params, [])
        if not may_release(self.reviewer_of(request)):
            code = "not-allowed"
            raise Problem(code, "Only a data steward sees the contacts of harvesters.")
        return Response({"data": [_shape(standing) for standing in standings()]})


def _shape(standing: Standing) -> dict[str, Any]:
    harvester = standing.harvester
    return {
        "name": harvester.name,
        "contact": harvester.contact,
        "homepage": harvester.homepage,
        "registered_at": _instant(harvester.registered_at),
        "acknowledged_entry": standing.entry or None,
        "acknowledged_at": _instant(standing.acknowledged_at),
        "outstanding": {
            "entries": standing.entries_owed,
            "withdrawals": standing.withdrawals_owed,
        },
        "behind_since": _instant(standing.behind_since),
    }


def _instant(at: datetime | None) -> str | None:
    return None if at is None else f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
