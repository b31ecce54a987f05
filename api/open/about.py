"""What the service is: root, data dictionary, vocabularies, groups, status."""

from dataclasses import asdict

from django.conf import settings
from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.open.answers import json_answer
from api.open.parameters import read_release
from api.open.views import OpenView
from api.parameters import require_only_json
from api.schema import json_body, problems
from portal.records.fields import FIELDS, every_field
from portal.records.models import Release
from portal.records.queries import current_release
from portal.records.vocabularies import VOCABULARIES


class RootView(OpenView):
    """The way in for machines."""

    @extend_schema(
        operation_id="root",
        tags=["about"],
        summary="Name, licence, citation and links",
        responses={200: json_body("Links."), **problems(400, 429)},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer name, licence, citation and links."""
        require_only_json(request.query_params)
        release = current_release()
        return Response(
            {
                "name": settings.DATASET["name"],
                "publisher": settings.DATASET["rights_holder"],
                "notice": settings.DATASET["notice"],
                "version": settings.VERSION,
                "release": release.number if release else None,
                "citation": release.citation if release else None,
                "license": release.licence_url if release else None,
                "links": _root_links(),
            }
        )


def _root_links() -> list[dict[str, str]]:
    relations = {
        "service-desc": "/api/v1/openapi.json",
        "service-doc": "/docs",
        "status": "/api/v1/status",
        "changelog": "/changes",
        "describedby": "/api/v1/fields",
        "releases": "/api/v1/releases",
        "summary": "/api/v1/summary",
        "planning": "/api/v1/planning/where",
        **{name: f"/api/v1/{name}" for name in ("visits", "pits", "counts", "occurrences")},
    }
    return [{"rel": name, "href": address(path)} for name, path in relations.items()]


class FieldsView(OpenView):
    """The data dictionary."""

    @extend_schema(
        operation_id="list_fields",
        tags=["about"],
        summary="Every field: definition, unit, values, what null means",
        responses={200: json_body("Fields by collection."), **problems(400, 404, 429)},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer all fields, by collection."""
        require_only_json(request.query_params, "release")
        release = read_release(request.query_params)
        body = {
            "data": {name: [asdict(field) for field in fields] for name, fields in FIELDS.items()}
        }
        return json_answer(request, release, "/api/v1/fields", body)


class FieldView(OpenView):
    """One field."""

    @extend_schema(
        operation_id="read_field",
        tags=["about"],
        summary="One field",
        responses={200: json_body("The field."), **problems(400, 404, 429)},
    )
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer one field.

        Raises
        ------
        Problem
            If there is no such field.
        """
        require_only_json(request.query_params, "release")
        field = every_field().get(name)
        if field is None:
            code = "not-found"
            raise Problem(code, "There is no such field.", allowed=sorted(every_field()))
        release = read_release(request.query_params)
        return json_answer(request, release, f"/api/v1/fields/{name}", {"data": asdict(field)})


class VocabularyView(OpenView):
    """One list of controlled words."""

    @extend_schema(
        operation_id="read_vocabulary",
        tags=["about"],
        summary="Controlled words with their meaning",
        responses={200: json_body("The words."), **problems(400, 404, 429)},
    )
    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer the words of a vocabulary.

        Raises
        ------
        Problem
            If there is no such vocabulary.
        """
        require_only_json(request.query_params, "release")
        words = VOCABULARIES.get(name)
        if words is None:
            code = "not-found"
            raise Problem(code, "There is no such vocabulary.", allowed=sorted(VOCABULARIES))
        release = read_release(request.query_params)
        body = {"data": [{"word": word, "meaning": text} for word, text in words.items()]}
        return json_answer(request, release, f"/api/v1/vocabularies/{name}", body)


class GroupsView(OpenView):
    """Who contributed."""

    @extend_schema(
        operation_id="list_groups",
        tags=["about"],
        summary="Contributing groups that agreed to be named",
        responses={200: json_body("Groups."), **problems(400, 404, 429)},
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
        summary="Up, and the current release",
        responses={200: json_body("Status."), **problems(400, 429)},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer the state of the service."""
        require_only_json(request.query_params)
        release = current_release()
        return Response(
            {
                "status": "up",
                "version": settings.VERSION,
                "release": release.number if release else None,
                "issued_at": _instant(release),
            }
        )


def _instant(release: Release | None) -> str | None:
    return f"{release.issued_at:%Y-%m-%dT%H:%M:%SZ}" if release else None
