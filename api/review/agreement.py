"""How far reviewers agree."""

from dataclasses import asdict
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.parameters import require_known
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.moderation.agreement import Agreement, agreement, agreement_by, two_looks
from surveys.people.permissions import may_release
from surveys.science.agreement import MIN_VERIFIED, NOT_ENOUGH

FORMULA = (
    "agreed = visits on the diagonal / all visits of the table; "
    "kappa = (agreed - by chance) / (1 - by chance), Cohen 1960"
)
INTERVAL = "95 percent; Wilson's score method for shares, kappa as each says; on visits"
READING = (
    "Only visits drawn for a blind second look count. Rows are the first look, columns the second; "
    "of a pair of reviewers rows are the one whose code comes first. Where nearly all visits are "
    "accepted, kappa can be low though the two agree on nearly all: read it beside the share."
)


class AgreementView(ReviewView):
    """Agreement of reviewers."""

    @extend_schema(
        operation_id="read_review_agreement",
        tags=["review"],
        summary="Agreement of two blind looks: over all, by group, and by pair of reviewers",
        description="A steward reads every pair, a reviewer those with themselves in it.",
        responses={
            200: json_body(
                "Tables with kappa and intervals.",
                {
                    "needed": {"type": "integer"},
                    "all": {"type": "object"},
                    "groups": {"type": "array", "items": {"type": "object"}},
                    "pairs": {"type": "array", "items": {"type": "object"}},
                    "formula": {"type": "string"},
                    "interval": {"type": "string"},
                    "reading": {"type": "string"},
                },
            ),
            **problems(400, 401, 403, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer the agreement."""
        require_known(request.query_params, [])
        reader, looks = self.reviewer_of(request), two_looks()
        told = [
            look.by_code() for look in looks if may_release(reader) or reader.code in look.reviewers
        ]
        by_group = agreement_by(looks, lambda look: look.group)
        by_pair = agreement_by(told, lambda look: look.reviewers)
        return Response(
            {
                "needed": MIN_VERIFIED,
                "all": _shape(agreement(looks)),
                "groups": [{"group": code} | _shape(one) for code, one in by_group.items()],
                "pairs": [{"reviewers": codes} | _shape(one) for codes, one in by_pair.items()],
                "formula": FORMULA,
                "interval": INTERVAL,
                "reading": READING,
            }
        )


def _shape(found: Agreement) -> dict[str, Any]:
    return asdict(found) | {"sentence": _sentence(found)}


def _sentence(found: Agreement) -> str:
    if found.agreed is None:
        return f"Visits looked at twice: {NOT_ENOUGH}."
    share = found.agreed
    return (
        f"Two looks agreed on {share.hits} of {share.n} visits ({share.share:.0%}, "
        f"95 percent interval {share.lower:.0%} to {share.upper:.0%})."
    )
