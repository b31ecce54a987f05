"""Which taxa are sensitive, set by stewards: a find limits how its site is shown."""

from typing import Annotated, Any, ClassVar

from django.db import transaction
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from rest_framework.request import Request
from rest_framework.response import Response

from api.parameters import require_known
from api.review.reading import read_body
from api.review.stewards import StewardView
from api.schema import json_body, problems
from portal.publication.changed_places import withdraw_outdated
from portal.publication.withdrawal import ReasonClass
from portal.records.operations import hold_feed
from surveys.protocol.models import TaxonSensitivity
from surveys.protocol.queries import sensitive_taxa
from surveys.protocol.sensitivity import set_sensitivity
from surveys.sites.models import Site

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]


class SensitivityIn(BaseModel):
    """A taxon and its category, or none."""

    model_config = ConfigDict(extra="forbid")

    scientific_name: Name
    category: int | None = Field(ge=1, le=4, description="1 most sensitive; null = not sensitive.")
    reason: str = Field(min_length=1, max_length=500)


class SensitivitiesView(StewardView):
    """Reading and setting sensitive taxa."""

    scopes: ClassVar[dict[str, str]] = StewardView.scopes | {"POST": "steward"}

    @extend_schema(
        operation_id="list_sensitive_taxa",
        tags=["review"],
        summary="Sensitive taxa with their categories, and the history of the list",
        responses={200: json_body("Taxa and history."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the list."""
        self.steward_of(request)
        require_known(request.query_params, [])
        history = TaxonSensitivity.objects.order_by("-id")
        return Response(
            {
                "in_force": sensitive_taxa(timezone.now()),
                "history": [_shape(row) for row in history],
            }
        )

    @extend_schema(
        operation_id="set_sensitive_taxon",
        tags=["review"],
        summary="Set how sensitive a taxon is",
        description=(
            "Sites where it was found and that are now shown too finely go out of every release "
            "at once, and come back coarser under new ids with the next one."
        ),
        request=SensitivityIn,
        responses={
            201: json_body("The setting."),
            **problems(400, 401, 403, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Set a category, and take out what is now shown too finely."""
        by = f"reviewer {self.steward_of(request).code}"
        require_known(request.query_params, [])
        sent = read_body(request, SensitivityIn)
        now = timezone.now()
        with transaction.atomic():
            hold_feed()
            made = set_sensitivity(
                scientific_name=sent.scientific_name,
                category=sent.category,
                by=by,
                reason=sent.reason,
                at=now,
            )
            withdrawn = withdraw_outdated(
                sites=Site.objects.all(),
                reason_class=ReasonClass.PLACE_PROTECTED,
                at=now,
                by=by,
            )
        return Response(_shape(made) | {"public_records_withdrawn": withdrawn}, status=201)


def _shape(row: TaxonSensitivity) -> dict[str, Any]:
    return {
        "scientific_name": row.scientific_name,
        "category": row.category,
        "author": row.author,
        "reason": row.reason,
        "made_at": f"{row.made_at:%Y-%m-%dT%H:%M:%SZ}",
    }
