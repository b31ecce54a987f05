"""How a recorder's verified pits stood, told to the person only."""

from dataclasses import asdict
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.partners.base import PartnerView
from api.partners.participants import participant_of
from api.partners.reading import only_known
from api.schema import json_body, problems
from surveys.calibration.reliability import Verified, verified
from surveys.science.agreement import MIN_VERIFIED

FOR_WHOM = (
    "For this person, and for the coordinator who passes it on to them; never published, and no "
    "ground for refusing records."
)
READING = (
    "A verified pit was accepted by a reviewer or determined anew; it is right if no number "
    "changed. The table holds animals by verified and by written group, by the fewest moves that "
    "explain the changed numbers."
)


class ReliabilityView(PartnerView):
    """The verified pits of one own participant."""

    @extend_schema(
        operation_id="read_reliability",
        tags=["partner"],
        summary="How often a participant's verified pits stood, once five are verified",
        responses={
            200: json_body(
                "Share with interval, and groups taken for others.",
                {
                    "n_verified_pits": {"type": "integer"},
                    "band": {"type": "string"},
                    "right": {"type": ["object", "null"]},
                    "confusion": {"type": ["object", "null"]},
                    "for_whom": {"type": "string"},
                },
            ),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer the reliability of a participant."""
        only_known(request)
        participant = participant_of(self.group_of(request), code)
        return Response({"participant": participant.code, **_shape(verified(participant))})


def _shape(found: Verified) -> dict[str, Any]:
    right = found.reliability.right
    enough = right is not None
    return {
        "n_verified_pits": found.reliability.n_verified,
        "needed": MIN_VERIFIED,
        "band": found.reliability.band,
        "right": None if right is None else asdict(right),
        "confusion": found.confusion if enough else None,
        "not_attributable": found.moves.not_attributable if enough else None,
        "reading": READING,
        "for_whom": FOR_WHOM,
    }
