"""How far recorded groups stood after review, over a release or one protocol of it."""

from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.request import Request

from api.open import documentation as doc
from api.open.answers import json_answer, meta
from api.open.parameters import read_release
from api.open.views import OpenView
from api.parameters import refuse, require_only_json
from api.schema import json_body, problems
from portal.records.models import PublishedCount
from portal.statistics.kept_labels import MIN_ANIMALS, MIN_PITS, KeptLabel, kept_labels

PATH = "/api/v1/agreement"
DETERMINED = "verified by specialist"
FORMULA = "share = sum over lines of min(number_recorded, number) / sum of number_recorded"
INTERVAL = "95 percent, Wilson's score method on animals; too narrow, as animals share pits"
NOT_ENOUGH = "not enough yet"
CAN_TELL = (
    "Lines hold numbers before and after review by group, stage and step, not labels animal by "
    "animal. They tell the most animals that can have kept their group, but not which group was "
    "taken for which, and give no kappa. Every published pit was accepted by a reviewer, but only "
    "those determined anew were looked at again, so agreement may be overstated."
)
_NAMES = ("pit_id", "phase_id", "group", "stage", "number", "number_recorded", "verification")


class AgreementView(OpenView):
    """Recorded against verified numbers."""

    @extend_schema(
        operation_id="agreement",
        tags=["read"],
        summary="How far recorded ecological groups stood after review",
        parameters=[
            doc.RELEASE,
            OpenApiParameter("protocol", str, description="Key and version; all when left out."),
            OpenApiParameter("f", str, enum=["json"]),
        ],
        responses={
            200: json_body(
                "Groups with shares and intervals.",
                {
                    "data": {"type": "array", "items": {"type": "object"}},
                    "n_pits": {"type": "integer"},
                    "n_pits_determined": {"type": "integer"},
                    "needed_pits": {"type": "integer"},
                    "sentence": {"type": "string"},
                    "formula": {"type": "string"},
                    "interval": {"type": "string"},
                    "can_tell": {"type": "string"},
                    "meta": doc.META,
                },
            ),
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 404, 429),
        },
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer shares by group."""
        parameters = request.query_params
        require_only_json(parameters, "release", "protocol")
        release = read_release(parameters)
        written = {"release": str(release.number)}
        counts = PublishedCount.objects.at(release.number).filter(state="counted")
        protocol = parameters.get("protocol")
        if protocol is not None:
            known = sorted(f"{one['key']}/{one['version']}" for one in release.protocols)
            if protocol not in known:
                refuse("protocol", protocol, "one of " + ", ".join(known))
            written["protocol"] = protocol
            counts = counts.filter(protocol=protocol)
        query = f"{PATH}?{urlencode(sorted(written.items()))}"
        found = kept_labels(counts.order_by("row").values(*_NAMES).iterator(), DETERMINED)
        rows = [_row(one) for one in found.groups]
        body: dict[str, Any] = {
            "data": rows,
            "n_pits": found.n_pits,
            "n_pits_determined": found.n_pits_determined,
            "needed_pits": MIN_PITS,
            "sentence": " ".join(row["sentence"] for row in rows) or f"Pits: {NOT_ENOUGH}.",
            "formula": FORMULA,
            "interval": INTERVAL,
            "can_tell": CAN_TELL,
            "meta": meta(release, query),
        }
        return json_answer(request, release, query, body)


def _row(one: KeptLabel) -> dict[str, Any]:
    return asdict(one) | {"sentence": _sentence(one)}


def _sentence(one: KeptLabel) -> str:
    if one.share is None:
        return f"{one.group}: {NOT_ENOUGH}; {MIN_ANIMALS} recorded animals are needed."
    return (
        f"{one.group}: at most {one.n_kept} of {one.n_recorded} recorded animals kept the group "
        f"({one.share:.0%}, 95 percent interval {one.lower:.0%} to {one.upper:.0%})."
    )
