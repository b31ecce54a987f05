"""Templates and sample files of each protocol version."""

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.partners.base import PartnerView
from api.partners.reading import only_known
from api.schema import json_body, problems
from surveys.protocol.queries import all_versions, protocol_named
from surveys.uploads.templates import FORMS, MEDIA_TYPES, made_file


class TemplatesView(PartnerView):
    """What files there are."""

    practises = True

    @extend_schema(
        operation_id="list_templates",
        tags=["partner"],
        summary="Templates and samples of files, by protocol version",
        responses={200: json_body("Files."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer the address of each file."""
        only_known(request)
        base = "/api/v1/partner/templates"
        return Response(
            {
                "data": [
                    {
                        "protocol": str(version),
                        "schema": address(f"/api/v1/protocols/{version}/schema"),
                        "files": {name: address(f"{base}/{version}/{name}") for name in FORMS},
                    }
                    for version in all_versions()
                ]
            }
        )


class TemplateView(PartnerView):
    """One file."""

    practises = True

    @extend_schema(
        operation_id="download_template",
        tags=["partner"],
        summary="A template, or a sample that passes as it is",
        description="wide: one row for each pit. long: one row for each count. A sample is "
        "invented, in the middle of your region and under your first participant.",
        parameters=[
            OpenApiParameter("name", str, OpenApiParameter.PATH, enum=list(FORMS)),
        ],
        responses={
            **{
                (200, media.partition(";")[0]): OpenApiTypes.BINARY
                for media in MEDIA_TYPES.values()
            },
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, key: str, version: str, name: str) -> HttpResponse:
        """Answer the file.

        Raises
        ------
        Problem
            If there is no such protocol version or file.
        """
        only_known(request)
        protocol, form = protocol_named(f"{key}/{version}"), FORMS.get(name)
        if protocol is None or form is None:
            code = "not-found"
            raise Problem(code)
        return HttpResponse(
            made_file(form, protocol.read(), self.group_of(request)),
            content_type=MEDIA_TYPES[form.format],
            headers={"Content-Disposition": f'attachment; filename="{key}-{version}-{name}"'},
        )
