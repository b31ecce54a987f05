"""Which groups recorders take for which, from the verified pits of all."""

from dataclasses import asdict
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.review.calibrations import PROTOCOL, read_protocol
from api.review.views import ReviewView
from api.schema import json_body, problems
from surveys.calibration.reliability import Verified, verified
from surveys.protocol.vocabulary import EcologicalGroup
from surveys.science.agreement import (
    MIN_VERIFIED,
    NOT_ENOUGH,
    cohen_kappa,
    confusion_matrix,
    proportion,
    right_by_group,
)
from surveys.science.relabelling import Moves

ALL_STAGES = "all"
FORMULA = (
    "agreed = animals on the diagonal / all animals of the table; "
    "kappa = (agreed - by chance) / (1 - by chance)"
)
INTERVAL = "95 percent; Wilson's score method for shares, kappa as each says; on animals"
READING = (
    "Rows are verified groups, columns the recorder's. Animals are placed by the fewest moves that "
    "explain the changed numbers, so agreement is the most that can be so; those whose move the "
    "numbers leave open are not in the table. Animals of one pit share its recorder, so intervals "
    "are too narrow. A pit counts as verified once a reviewer accepted it, but only those "
    "determined anew were looked at animal by animal: where `n_pits_determined` is small, the "
    "agreement is overstated."
)


class ConfusionView(ReviewView):
    """Recorder's label against verified label."""

    @extend_schema(
        operation_id="read_confusion",
        tags=["review"],
        summary="Recorded against verified ecological group, over all verified pits, by stage",
        parameters=[PROTOCOL],
        responses={
            200: json_body(
                "Tables with agreement and intervals.",
                {
                    "n_verified_pits": {"type": "integer"},
                    "n_pits_determined": {"type": "integer"},
                    "needed": {"type": "integer"},
                    "data": {"type": "array", "items": {"type": "object"}},
                    "sentence": {"type": "string"},
                    "formula": {"type": "string"},
                    "interval": {"type": "string"},
                    "reading": {"type": "string"},
                },
            ),
            **problems(400, 401, 403, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer the tables."""
        found = verified(protocol=read_protocol(request))
        return Response(_shape(found))


def _shape(found: Verified) -> dict[str, Any]:
    n_pits = found.reliability.n_verified
    tables = []
    if n_pits >= MIN_VERIFIED:
        stages = {ALL_STAGES: found.moves, **found.by_stage}
        tables = [_table(stage, moves) for stage, moves in stages.items()]
    return {
        "n_verified_pits": n_pits,
        "n_pits_determined": found.n_determined,
        "needed": MIN_VERIFIED,
        "data": tables,
        "sentence": tables[0]["sentence"] if tables else f"Verified pits: {NOT_ENOUGH}.",
        "formula": FORMULA,
        "interval": INTERVAL,
        "reading": READING,
    }


def _table(stage: str, moves: Moves) -> dict[str, Any]:
    matrix = confusion_matrix(moves.pairs.elements(), EcologicalGroup.values)
    n_animals = moves.pairs.total()
    n_agreed = sum(row[group] for group, row in matrix.items())
    agreed = proportion(n_agreed, n_animals) if n_animals >= MIN_VERIFIED else None
    sentence = f"Animals verified: {NOT_ENOUGH}."
    if agreed is not None:
        sentence = (
            f"{n_agreed} of {n_animals} verified animals kept their group ({agreed.share:.0%}, "
            f"95 percent interval {agreed.lower:.0%} to {agreed.upper:.0%})."
        )
    return {
        "stage": stage,
        "n_animals": n_animals,
        "agreed": None if agreed is None else asdict(agreed),
        "kappa": asdict(cohen_kappa(matrix)),
        "confusion": matrix,
        "right_by_group": {
            group: None if right is None else asdict(right)
            for group, right in right_by_group(matrix).items()
        },
        "not_attributable": moves.not_attributable,
        "added": moves.added,
        "dropped": moves.dropped,
        "sentence": sentence,
    }
