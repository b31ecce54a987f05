"""The quality report of a release, from published tables alone."""

from dataclasses import asdict
from typing import Any

from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.harvest.base import HarvestView, instant, release_of
from api.links import address
from api.parameters import require_only_json
from api.schema import json_body, problems
from portal.records.models import Release
from portal.records.quality import completeness
from portal.records.queries import TABLES

TESTS = (
    "Data-quality tests of TDWG (BDQ Core) run on every occurrence when the release was made: how "
    "many complied, did not, and gave the test nothing to work on. share_compliant is that of "
    "those on which the test could run; null where there was none."
)
COMPLETENESS = (
    "Rows of each table as they stand now, without those withdrawn since: how many have no value, "
    "field by field, and how many have each word. A missing value is null in the rows, never 0."
)


class ReleaseQualityView(HarvestView):
    """How good a release is."""

    @extend_schema(
        operation_id="read_release_quality",
        tags=["harvest"],
        summary="Quality report of a release: results of tests, missing values, verification",
        responses={
            200: json_body(
                "The report.",
                {
                    "release": {"type": "integer"},
                    "issued_at": {"type": "string", "format": "date-time"},
                    "tests": {"type": "array", "items": {"type": "object"}},
                    "tests_tell": {"type": "string"},
                    "tables": {"type": "object"},
                    "tables_tell": {"type": "string"},
                    "links": {"type": "object"},
                },
            ),
            **problems(400, 404, 429),
        },
    )
    def get(self, request: Request, number: int) -> HttpResponse:
        """Answer the report of a release."""
        require_only_json(request.query_params)
        release = release_of(number)
        return Response(
            {
                "release": number,
                "issued_at": instant(release.issued_at),
                "tests": _tests(release),
                "tests_tell": TESTS,
                "tables": {name: asdict(completeness(name, number)) for name in TABLES},
                "tables_tell": COMPLETENESS,
                "links": {
                    "self": address(f"/api/v1/releases/{number}/quality"),
                    "release": address(f"/api/v1/releases/{number}"),
                    "fields": address("/api/v1/fields"),
                },
            }
        )


def _tests(release: Release) -> list[dict[str, Any]]:
    return [
        {"label": label, **tally, "share_compliant": _share(tally)}
        for label, tally in release.quality.items()
    ]


def _share(tally: dict[str, int]) -> float | None:
    n_run = tally["compliant"] + tally["not_compliant"]
    return tally["compliant"] / n_run if n_run else None
