"""The catalogue, and how to cite a release, in the formats that other programs read."""

from django.http import HttpResponse
from django.utils.decorators import method_decorator
from django.utils.text import slugify
from django.views.decorators.http import conditional_page
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.request import Request

from api.harvest.base import HarvestView, release_of
from api.negotiation import ViewChooses, chosen_format
from api.parameters import require_known
from api.schema import problems
from portal.catalogue.citations import FORMATS
from portal.catalogue.entries import entries, entry_of
from portal.catalogue.services import services

JSON_LD = "application/ld+json"
TURTLE = "text/turtle; charset=utf-8"
CITATIONS = {one.name: one for one in FORMATS}


def _format_parameter(*names: str) -> OpenApiParameter:
    return OpenApiParameter("f", str, enum=names, description="The format, instead of Accept.")


@method_decorator(conditional_page, name="dispatch")
class CatalogueView(HarvestView):
    """The dataset, its releases, their files and the services."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="read_catalogue",
        tags=["harvest"],
        summary="The catalogue in DCAT 3 (DCAT-AP 3.0.1)",
        parameters=[_format_parameter("jsonld", "ttl")],
        responses={
            (200, JSON_LD): OpenApiResponse(OpenApiTypes.OBJECT, description="JSON-LD."),
            (200, "text/turtle"): OpenApiResponse(OpenApiTypes.STR, description="Turtle."),
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 406, 429),
        },
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer the catalogue."""
        # Imported here: the library is large, and no other address needs it.
        from portal.catalogue.dcat import catalogue_graph  # noqa: PLC0415 -- heavy import
        from portal.catalogue.writing import json_ld, turtle  # noqa: PLC0415 -- heavy import

        require_known(request.query_params, ["f"])
        types = {JSON_LD: "jsonld", "application/json": "jsonld", "text/turtle": "ttl"}
        chosen = chosen_format(request, types)
        graph = catalogue_graph(entries(), services())
        if chosen == "ttl":
            return _answer(turtle(graph), TURTLE)
        return _answer(json_ld(graph), JSON_LD)


@method_decorator(conditional_page, name="dispatch")
class CitationView(HarvestView):
    """How to cite a release."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="read_citation",
        tags=["harvest"],
        summary="How to cite a release, for reference managers",
        parameters=[_format_parameter(*CITATIONS)],
        responses={
            **{
                (200, one.media_type.partition(";")[0]): OpenApiResponse(
                    OpenApiTypes.STR, description=f"{one.label}."
                )
                for one in FORMATS
            },
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 404, 406, 429),
        },
    )
    def get(self, request: Request, number: int) -> HttpResponse:
        """Answer the citation."""
        require_known(request.query_params, ["f"])
        types = {one.media_type.partition(";")[0]: one.name for one in FORMATS}
        chosen = CITATIONS[chosen_format(request, types)]
        metadata = entry_of(release_of(number)).metadata
        answer = _answer(chosen.write(metadata), chosen.media_type)
        name = f"{slugify(metadata.title)}-release-{number}.{chosen.ending}"
        answer["Content-Disposition"] = f'inline; filename="{name}"'
        return answer


def _answer(text: str, media_type: str) -> HttpResponse:
    answer = HttpResponse(text, content_type=media_type)
    answer["Cache-Control"] = "public, max-age=300"
    answer["Vary"] = "Accept"
    return answer
