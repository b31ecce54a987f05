"""What the trials of all groups say of the measuring."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.parameters import refuse, require_known
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.calibration.models import CalibrationTrial
from surveys.calibration.results import results
from surveys.protocol.models import ProtocolVersion
from surveys.protocol.queries import protocol_named, protocol_names

PROTOCOL = OpenApiParameter("protocol", str, description="Key and version; all when left out.")


class CalibrationResultsView(ReviewView):
    """Detection and agreement over all groups."""

    @extend_schema(
        operation_id="read_all_calibration_results",
        tags=["review"],
        summary="Share of known animals found, and agreement of observers, over all groups",
        parameters=[PROTOCOL],
        responses={
            200: json_body("Detection and agreement with intervals, by protocol and step."),
            **problems(400, 401, 403, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer detection and agreement."""
        protocol = read_protocol(request)
        trials = CalibrationTrial.objects.all()
        return Response(results(trials if protocol is None else trials.filter(protocol=protocol)))


def read_protocol(request: Request) -> ProtocolVersion | None:
    """Return the protocol version asked for, or nothing for all.

    Raises
    ------
    Problem
        If there is no such version, or another parameter was sent.
    """
    require_known(request.query_params, ["protocol"])
    name = request.query_params.get("protocol")
    if name is None:
        return None
    version = protocol_named(name)
    if version is None:
        refuse("protocol", name, "one of " + ", ".join(protocol_names()))
    return version
