"""Densities by habitat, season and the like, with n, interval and formula."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse, QueryDict
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.links import address
from api.negotiation import ViewChooses
from api.open import documentation as doc
from api.open.answers import dressed, entity_tag, is_unchanged, meta, unchanged
from api.open.filters import FILTERS
from api.open.formats import CSV, as_csv, chosen_format
from api.open.parameters import (
    SHARED,
    apply_filters,
    read_filters,
    read_release,
)
from api.open.views import OpenView
from api.parameters import refuse, require_known
from api.schema import json_body, problems
from portal.records.models import PublishedCount, Release
from portal.records.summaries import (
    FORMULA,
    GROUPINGS,
    KEPT_APART,
    Pooled,
    Summary,
    comparable_kits,
    summarise,
)

MEASURES = ("density_mean",)
FIGURES = (
    "n_pits",
    "n_visits",
    "total_count",
    "total_area_m2",
    "density_per_m2",
    "lower_per_m2",
    "upper_per_m2",
    "interval",
)


class SummaryView(OpenView):
    """Pooled densities of a release."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="summary",
        tags=["read"],
        summary="Densities by group of pits, with n, interval and formula",
        parameters=[
            doc.RELEASE,
            OpenApiParameter("by", str, description="Any of " + ", ".join(GROUPINGS)),
            OpenApiParameter("measure", str, enum=list(MEASURES)),
            OpenApiParameter("f", str, enum=["json", "csv"]),
            *doc.filter_parameters("counts"),
        ],
        responses={
            (200, "application/json"): json_body(
                "Groups of pits.", {"data": {"type": "array"}, "meta": doc.META}
            ),
            **problems(400, 404, 406, 429),
        },
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer the figures."""
        form = chosen_format(request)
        known = [*SHARED, "by", "measure", *FILTERS["counts"].base_filters]
        require_known(request.query_params, known)
        by = _groupings(request.query_params)
        release = read_release(request.query_params)
        filters = read_filters(request.query_params, "counts")
        query = _normalised(release, by, filters)
        etag = entity_tag(release, query, form=form)
        if is_unchanged(request, etag):
            return unchanged(release, etag)
        rows = apply_filters(PublishedCount.objects.at(release.number), "counts", filters)
        summary = summarise(rows, by, comparable_kits(release.protocols))
        data = [_figures(summary, key) for key in sorted(summary.groups, key=_sort_key)]
        response: HttpResponse
        if form == "csv":
            names = [*summary.by, *FIGURES]
            response = HttpResponse(as_csv(data, names, for_spreadsheets=False), content_type=CSV)
        else:
            response = Response(_body(summary, data) | {"meta": meta(release, query)})
        return dressed(response, release, etag, {"describedby": address("/api/v1/fields")})


def _body(summary: Summary, data: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "data": data,
        "formula": FORMULA,
        "unit": "animals per m2",
        "kept_apart": KEPT_APART,
        "pits_left_out": summary.left_out,
    }


def _groupings(parameters: QueryDict) -> list[str]:
    measure = parameters.get("measure", MEASURES[0])
    if measure not in MEASURES:
        refuse("measure", measure, " or ".join(MEASURES))
    by = parameters.get("by", "habitat").split(",")
    for name in by:
        if name not in GROUPINGS or by.count(name) > 1:
            refuse("by", name, "different names out of " + ", ".join(GROUPINGS))
    return by


def _normalised(release: Release, by: Sequence[str], filters: dict[str, str]) -> str:
    parts = {"release": str(release.number), "by": ",".join(by), **filters}
    return f"/api/v1/summary?{urlencode(sorted(parts.items()))}"


def _figures(summary: Summary, key: tuple[str | None, ...]) -> dict[str, Any]:
    # Imported here: the statistics libraries are heavy and most answers do not need them.
    from portal.statistics.density import pooled_density  # noqa: PLC0415 -- heavy import
    from portal.statistics.samples import PitSample  # noqa: PLC0415 -- heavy import

    group: Pooled = summary.groups[key]
    name = ", ".join(str(part) for part in key)
    density = pooled_density(PitSample(name, tuple(group.counts), tuple(group.areas_m2)))
    return {
        **dict(zip(summary.by, key, strict=True)),
        "n_pits": density.n_pits,
        "n_visits": len(group.visits),
        "total_count": density.total_count,
        "total_area_m2": round(density.total_area_m2, 6),
        "density_per_m2": round(density.per_m2, 2),
        "lower_per_m2": round(density.lower_per_m2, 2),
        "upper_per_m2": round(density.upper_per_m2, 2),
        "interval": f"95 percent, {density.interval_method}",
    }


def _sort_key(key: tuple[str | None, ...]) -> tuple[str, ...]:
    return tuple(part or "" for part in key)
