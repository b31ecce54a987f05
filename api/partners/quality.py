"""The quality report of one own visit."""

from collections import Counter
from dataclasses import asdict
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.partners.base import PartnerView
from api.partners.reading import only_known
from api.partners.shapes import told
from api.schema import json_body, problems
from surveys.checks.policy import POLICY_VERSION
from surveys.checks.queries import Outcome, quality_report


class QualityView(PartnerView):
    """What every check said."""

    practises = True

    @extend_schema(
        operation_id="read_own_visit_quality",
        tags=["partner"],
        summary="What every check said of a visit, with its version and parameters",
        description=(
            "Checks may be run again with other parameters: outcomes that a later run replaced "
            "stay, with the time when it did, and are left out of the summary. `parameters` are "
            "those that held in place of the protocol's own."
        ),
        responses={
            200: json_body(
                "The report.",
                {
                    "client_ref": {"type": "string"},
                    "revision": {"type": "integer"},
                    "policy_version": {"type": "string"},
                    "summary": {"type": "object", "additionalProperties": {"type": "integer"}},
                    "checks": {"type": "array", "items": {"type": "object"}},
                },
            ),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, client_ref: str) -> Response:
        """Answer the report."""
        only_known(request)
        visit = self.visit_of(request, client_ref)
        outcomes = quality_report(visit)
        current = [outcome for outcome in outcomes if outcome.superseded_at is None]
        return Response(
            {
                "client_ref": visit.client_ref,
                "revision": visit.revision,
                "policy_version": POLICY_VERSION,
                "summary": dict(Counter(outcome.action for outcome in current)),
                "checks": [_shape(outcome) for outcome in outcomes],
            }
        )


def _shape(outcome: Outcome) -> dict[str, Any]:
    ended_at = outcome.superseded_at
    return asdict(outcome) | {
        "run_at": told(outcome.run_at),
        "superseded_at": None if ended_at is None else told(ended_at),
    }
