"""Releases, and what each changed against the one before it."""

import json
from collections.abc import Iterator
from typing import Any

from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.harvest.base import HarvestView, instant, release_of, tombstone
from api.links import address
from api.negotiation import ViewChooses, chosen_format
from api.parameters import require_known, require_only_json
from api.schema import json_body, problems
from portal.records.changes import ADDED, CHANGED, KIND_ORDER, REMOVED, WITHDRAWN, release_changes
from portal.records.models import Release, ReleaseFile
from portal.records.queries import build_of, current_release, rebuilds_of, rows_of, withdrawn_from

NDJSON = "application/x-ndjson"


class ReleasesView(HarvestView):
    """All releases."""

    @extend_schema(
        operation_id="list_releases",
        tags=["harvest"],
        summary="All releases, newest first",
        responses={200: json_body("Releases."), **problems(400, 429)},
    )
    def get(self, request: Request) -> HttpResponse:
        """Answer all releases, newest first."""
        require_only_json(request.query_params)
        releases = list(Release.objects.order_by("-number"))
        return Response({"data": [brief(release, newest=releases[0]) for release in releases]})


class ReleaseView(HarvestView):
    """One release."""

    @extend_schema(
        operation_id="read_release",
        tags=["harvest"],
        summary="One release with its files and the rules it was made by",
        responses={200: json_body("The release."), **problems(400, 404, 429)},
    )
    def get(self, request: Request, number: int) -> HttpResponse:
        """Answer a release."""
        require_only_json(request.query_params)
        release = release_of(number)
        notes = _build_notes(release)
        return Response(
            {
                **brief(release, newest=current_release() or release),
                "rows": rows_of(number),
                "files": [
                    _file(file) | {"note": notes.get(file.build)}
                    for file in release.files.order_by("-build", "name")
                ],
                "generalisation_rules": release.rules,
                "groups": release.credits,
                "quality": release.quality,
                "protocols": [
                    {"name": f"{p['key']}/{p['version']}", "title": p["title"]}
                    for p in release.protocols
                ],
            }
        )


class ReleaseChangesView(HarvestView):
    """What a release changed."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="read_release_changes",
        tags=["harvest"],
        summary="Ids added, changed, removed by a release, and withdrawn from it since",
        description=(
            "The difference of the release and the one before it, as both stand now. NDJSON is "
            "streamed, one change a line, whatever the size of the release."
        ),
        parameters=[OpenApiParameter("f", str, enum=["json", "ndjson"])],
        responses={
            (200, "application/json"): json_body("Changes."),
            (200, NDJSON): OpenApiResponse(OpenApiTypes.STR, description="One change a line."),
            **problems(400, 404, 406, 429),
        },
    )
    def get(self, request: Request, number: int) -> HttpResponseBase:
        """Answer the change list of a release."""
        require_known(request.query_params, ["f"])
        chosen = chosen_format(request, {"application/json": "json", NDJSON: "ndjson"})
        release = release_of(number)
        if chosen == "ndjson":
            return StreamingHttpResponse(_lines(number), content_type=NDJSON)
        changes = {kind: list(release_changes(number, kind)) for kind in KIND_ORDER}
        return Response(
            {
                "release": number,
                "against": number - 1 or None,
                "issued_at": instant(release.issued_at),
                **{
                    wanted: {
                        kind: [str(record) for record, change in found if change == wanted]
                        for kind, found in changes.items()
                    }
                    for wanted in (ADDED, CHANGED, REMOVED)
                },
                WITHDRAWN: [tombstone(stone) for stone in withdrawn_from(number)],
            }
        )


def _lines(number: int) -> Iterator[str]:
    for kind in KIND_ORDER:
        for record, change in release_changes(number, kind):
            yield _line({"kind": kind, "id": str(record), "change": change})
    for stone in withdrawn_from(number):
        yield _line(tombstone(stone) | {"change": WITHDRAWN})


def _line(change: dict[str, Any]) -> str:
    return json.dumps(change, separators=(",", ":")) + "\n"


def _build_notes(release: Release) -> dict[int, str]:
    """Return for each build after the first what it was made for."""
    return {
        one.build: (
            f"rebuilt without {one.withdrawn} withdrawn records on {one.built_at.date()}"
            if one.withdrawn
            else f"rebuilt on {one.built_at.date()}, since records were hidden or came back"
        )
        for one in rebuilds_of(release)
    }


def brief(release: Release, *, newest: Release) -> dict[str, Any]:
    """Return what a list of releases says of one; versions are linked as RFC 5829 names them."""
    before = release.number - 1 or None
    after = release.number + 1 if release.number < newest.number else None
    return {
        "number": release.number,
        "issued_at": instant(release.issued_at),
        "title": release.title,
        "citation": release.citation,
        "license": {"id": release.licence_id, "url": release.licence_url},
        "build": build_of(release),
        "links": {
            "self": address(f"/api/v1/releases/{release.number}"),
            "changes": address(f"/api/v1/releases/{release.number}/changes"),
            "quality": address(f"/api/v1/releases/{release.number}/quality"),
            "page": address(f"/releases/{release.number}"),
            "predecessor_version": before and address(f"/api/v1/releases/{before}"),
            "successor_version": after and address(f"/api/v1/releases/{after}"),
            "latest_version": address(f"/api/v1/releases/{newest.number}"),
        },
    }


def _file(file: ReleaseFile) -> dict[str, Any]:
    return {
        "name": file.name,
        "build": file.build,
        "href": address(f"/files/{file.release_id}/{file.build}/{file.name}"),
        "media_type": file.media_type,
        "bytes": file.size_bytes,
        "sha256": file.sha256,
        "rows": file.rows,
        "available": file.gone_at is None,
    }
