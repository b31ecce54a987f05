"""What the service is: root, contributing groups, status."""

from datetime import UTC

from django.conf import settings
from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.links import address
from api.open.answers import json_answer
from api.open.documentation import REFUSALS, RELEASE
from api.open.parameters import read_release
from api.open.rows import COLLECTION_FIELDS
from api.open.views import OpenView
from api.parameters import require_only_json
from api.schema import json_body, problems
from portal.records.models import Release
from portal.records.queries import current_release


class RootView(OpenView):
    """The way in for machines."""

    @extend_schema(
        operation_id="root",
        tags=["about"],
        summary="Name, licence, citation and links",
        responses={
            200: json_body("Links."),
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 412, 429),
        },
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer name, licence, citation and links."""
        require_only_json(request.query_params)
        release = current_release()
        body = {
            "name": settings.DATASET["name"],
            "publisher": settings.DATASET["rights_holder"],
            "notice": settings.DATASET["notice"],
            "version": settings.VERSION,
            "release": release.number if release else None,
            "citation": release.citation if release else None,
            "license": release.licence_url if release else None,
            "links": _root_links(release),
        }
        if release is None:
            return Response(body)
        return json_answer(request, release, "/api/v1", body)


def _root_links(release: Release | None) -> list[dict[str, str]]:
    relations = {
        "self": "/api/v1",
        "service-desc": "/api/v1/openapi.json",
        "service-doc": "/docs",
        "status": "/api/v1/status",
        "changelog": "/changes",
        "describedby": "/api/v1/fields",
        "vocabularies": "/api/v1/vocabularies",
        "releases": "/api/v1/releases",
        "groups": "/api/v1/groups",
        "summary": "/api/v1/summary",
        "planning": "/api/v1/planning/where",
    }
    links = [{"rel": name, "href": address(path)} for name, path in relations.items()]
    for name in COLLECTION_FIELDS:
        href = address(f"/api/v1/{name}")
        links += [{"rel": "data", "href": href, "title": name}, {"rel": name, "href": href}]
    if release is not None:
        links.append({"rel": "license", "href": release.licence_url})
    return links


class GroupsView(OpenView):
    """Who contributed."""

    @extend_schema(
        operation_id="list_groups",
        tags=["about"],
        summary="Contributing groups that agreed to be named",
        parameters=[RELEASE],
        responses={200: json_body("Groups."), **REFUSALS},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer the groups credited by a release."""
        require_only_json(request.query_params, "release")
        release = read_release(request.query_params)
        query = f"/api/v1/groups?release={release.number}"
        return json_answer(request, release, query, {"data": release.credits})


class StatusView(OpenView):
    """Whether it is up, and how old the data are."""

    @extend_schema(
        operation_id="status",
        tags=["about"],
        summary="Up, the current release and its age, planned downtime",
        responses={200: json_body("Status."), **problems(400, 429)},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer the state of the service."""
        require_only_json(request.query_params)
        release = current_release()
        response = Response(
            {
                "status": "up",
                "version": settings.VERSION,
                "release": release.number if release else None,
                "issued_at": _instant(release),
                "age_days": (timezone.now() - release.issued_at).days if release else None,
                "planned_downtime": settings.PLANNED_DOWNTIME or None,
                "links": {
                    "self": address("/api/v1/status"),
                    "releases": address("/api/v1/releases"),
                },
            }
        )
        response["Cache-Control"] = "no-cache"
        return response


def _instant(release: Release | None) -> str | None:
    return f"{release.issued_at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}" if release else None
