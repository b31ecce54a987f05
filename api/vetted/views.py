"""Exact places of published visits, for researchers with a grant."""

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.parameters import refuse, require_known
from api.schema import json_body, problems
from api.throttling import TokenThrottle
from api.vetted.access import GrantHolder, GrantToken, grant_in
from portal.records.models import PublishedVisit
from surveys.grants.operations import SeenPlace, read_places

MAX_VISITS = 100


class PlacesView(APIView):
    """Reading exact places."""

    authentication_classes = [GrantToken]
    permission_classes = [GrantHolder]
    throttle_classes = [TokenThrottle]

    @extend_schema(
        operation_id="read_exact_places",
        tags=["vetted"],
        summary="What a grant lets be seen of published visits; every read is recorded",
        description=(
            "Visits that are not in the answer are unknown, or not covered: the group said no, "
            "or somebody concerned does not let vetted researchers see exact places. The people "
            "concerned can see who read what, when and for what."
        ),
        parameters=[
            OpenApiParameter(
                "visit",
                str,
                required=True,
                description=f"Public ids of visits, 1 to {MAX_VISITS}, separated by commas.",
            )
        ],
        responses={
            200: json_body(
                "The visits covered.",
                {
                    "data": {"type": "array", "items": {"type": "object"}},
                    "ends_on": {"type": "string", "format": "date"},
                },
            ),
            **problems(400, 401, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer places."""
        require_known(request.query_params, ["visit"])
        grant = grant_in(request)
        shown = PublishedVisit.objects.current().filter(hidden=False, id__in=_wanted(request))
        visit_ids = set(shown.values_list("id", flat=True))
        seen = read_places(grant=grant, visit_ids=visit_ids, at=timezone.now())
        return Response(
            {"data": [_shape(place) for place in seen], "ends_on": grant.ends_on.isoformat()}
        )


def _wanted(request: Request) -> set[UUID]:
    text = request.query_params.get("visit", "")
    try:
        ids = {UUID(part) for part in text.split(",")}
    except ValueError:
        ids = set()
    if not 1 <= len(ids) <= MAX_VISITS:
        refuse("visit", text, f"1 to {MAX_VISITS} ids of visits, separated by commas")
    return ids


def _shape(place: SeenPlace) -> dict[str, Any]:
    return {
        "visit": str(place.visit_id),
        "latitude": None if place.latitude is None else float(place.latitude),
        "longitude": None if place.longitude is None else float(place.longitude),
        "uncertainty_m": place.uncertainty_m,
        "visited_on": None if place.visited_on is None else place.visited_on.isoformat(),
    }
