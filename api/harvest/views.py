"""Releases, their changes and files, and permanent addresses."""

from typing import Any
from uuid import UUID

from django.core.files.storage import default_storage
from django.db.models import Max
from django.http import FileResponse, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.utils.http import http_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.errors import Problem
from api.links import address
from api.negotiation import ViewChooses
from api.parameters import require_only_json
from api.permissions import Open
from api.schema import json_body, problems
from api.throttling import OpenThrottle
from portal.archive.release_files import FILE_KINDS
from portal.records.models import Release, ReleaseFile, Tombstone
from portal.records.queries import KINDS, TABLES, build_of, changes_of, rows_of, withdrawn_from

FILE_TYPES = sorted({kind.media_type.partition(";")[0] for kind in FILE_KINDS})
COLLECTION_OF = {kind: name for name, kind in KINDS.items()}
# What has a permanent address but no record of its own: the rows of that collection and column.
PARTS = {"site": ("visits", "site_id"), "phase": ("counts", "phase_id")}


class HarvestView(APIView):
    """Readable by everybody, within the limit of requests."""

    permission_classes = [Open]
    throttle_classes = [OpenThrottle]


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
        releases = Release.objects.order_by("-number")
        return Response({"data": [_brief(release) for release in releases]})


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
        release = _release(number)
        return Response(
            {
                **_brief(release),
                "rows": rows_of(number),
                "files": [_file(file) for file in release.files.order_by("-build", "name")],
                "generalisation_rules": release.rules,
                "groups": release.credits,
                "quality": release.quality,
                "protocols": [
                    {"name": f"{p['key']}/{p['version']}", "title": p["title"]}
                    for p in release.protocols
                ],
            }
        )


class ChangesView(HarvestView):
    """What a release changed."""

    @extend_schema(
        operation_id="read_release_changes",
        tags=["harvest"],
        summary="Ids added, changed, removed by a release, and withdrawn from it since",
        responses={200: json_body("Changes."), **problems(400, 404, 429)},
    )
    def get(self, request: Request, number: int) -> HttpResponse:
        """Answer the change list of a release."""
        require_only_json(request.query_params)
        release = _release(number)
        changes = {name: changes_of(number, name) for name in TABLES}
        return Response(
            {
                "release": number,
                "against": number - 1 or None,
                "issued_at": _instant(release.issued_at),
                **{
                    part: {
                        KINDS[name]: [str(row_id) for row_id in getattr(found, part)]
                        for name, found in changes.items()
                    }
                    for part in ("added", "changed", "removed")
                },
                "withdrawn": [_stone(stone) for stone in withdrawn_from(number)],
            }
        )


class FileView(HarvestView):
    """One file of one build."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="read_file",
        tags=["harvest"],
        summary="A whole-release file",
        responses={
            **{
                (200, kind): OpenApiResponse(OpenApiTypes.BINARY, description="Bytes.")
                for kind in FILE_TYPES
            },
            304: OpenApiResponse(description="Not changed."),
            **problems(404, 410, 429),
        },
    )
    def get(self, request: Request, release: int, build: int, name: str) -> HttpResponseBase:
        """Answer the bytes.

        Raises
        ------
        Problem
            If there is no such file (404), or its build is gone (410).
        """
        file = ReleaseFile.objects.filter(release__number=release, build=build, name=name).first()
        code = "not-found"
        if file is None:
            raise Problem(code)
        if file.gone_at is not None:
            code = "gone"
            raise Problem(
                code,
                "This build held records that were withdrawn since.",
                gone_on=file.gone_at.date().isoformat(),
                release=address(f"/api/v1/releases/{release}"),
            )
        etag = f'"{file.sha256}"'
        is_held = request.headers.get("If-None-Match") == etag
        response = HttpResponse(status=304) if is_held else _bytes_of(file)
        response["ETag"] = etag
        response["Last-Modified"] = http_date(file.built_at.timestamp())
        response["Cache-Control"] = "public, max-age=300"
        return response


def _bytes_of(file: ReleaseFile) -> HttpResponseBase:
    response = FileResponse(default_storage.open(file.storage_name), content_type=file.media_type)
    response["Content-Length"] = str(file.size_bytes)
    download = f"release-{file.release_id}-{file.build}-{file.name}"
    response["Content-Disposition"] = f'attachment; filename="{download}"'
    return response


class PermanentView(HarvestView):
    """A permanent address."""

    content_negotiation_class = ViewChooses

    @extend_schema(exclude=True)
    def get(self, request: Request, kind: str, record_id: UUID) -> HttpResponse:
        """Lead to the record, or say that it was withdrawn.

        Raises
        ------
        Problem
            If the id is unknown (404) or withdrawn (410).
        """
        del request
        stone = Tombstone.objects.filter(id=record_id, kind=kind).first()
        if stone is not None:
            code = "gone"
            raise Problem(code, **_stone(stone))
        where = _address_of(kind, record_id)
        if where is None:
            code = "not-found"
            raise Problem(code)
        response = HttpResponseRedirect(where, status=303)
        response["Cache-Control"] = "public, max-age=300"
        return response


def _address_of(kind: str, record_id: UUID) -> str | None:
    """Return where a record is read: now, or else in the last release that held it."""
    if kind in COLLECTION_OF:
        collection, column = COLLECTION_OF[kind], "id"
        path = f"/api/v1/{collection}/{record_id}?"
    elif kind in PARTS:
        collection, column = PARTS[kind]
        path = f"/api/v1/{collection}?{column}={record_id}&"
    else:
        return None
    rows = TABLES[collection].objects.filter(**{column: record_id}, hidden=False)
    if rows.filter(until_release__isnull=True).exists():
        return address(path[:-1])
    closed = rows.aggregate(at=Max("until_release"))["at"]
    return address(f"{path}release={closed - 1}") if closed else None


def _release(number: int) -> Release:
    release = Release.objects.filter(number=number).first()
    if release is None:
        code = "not-found"
        raise Problem(code, "There is no such release.")
    return release


def _brief(release: Release) -> dict[str, Any]:
    return {
        "number": release.number,
        "issued_at": _instant(release.issued_at),
        "title": release.title,
        "citation": release.citation,
        "license": {"id": release.licence_id, "url": release.licence_url},
        "build": build_of(release),
        "links": {
            "self": address(f"/api/v1/releases/{release.number}"),
            "changes": address(f"/api/v1/releases/{release.number}/changes"),
            "page": address(f"/releases/{release.number}"),
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


def _stone(stone: Tombstone) -> dict[str, Any]:
    return {
        "id": str(stone.id),
        "kind": stone.kind,
        "withdrawn_on": stone.withdrawn_on.isoformat(),
        "reason_class": stone.reason_class,
    }


def _instant(instant: Any) -> str:
    return f"{instant:%Y-%m-%dT%H:%M:%SZ}"
