"""Whole-release files, or the bytes of them that were asked for."""

from datetime import datetime
from typing import IO

from django.core.files.storage import default_storage
from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.request import Request

from api.errors import Problem
from api.harvest.base import HarvestView
from api.links import address
from api.negotiation import ViewChooses
from api.parameters import require_known
from api.ranges import ByteRange, NotSatisfiable, range_applies, requested_range
from api.schema import problems
from portal.archive.release_files import FILE_KINDS
from portal.records.models import ReleaseFile

FILE_TYPES = sorted({kind.media_type.partition(";")[0] for kind in FILE_KINDS})
PRECONDITION_FAILED = 412


class FileView(HarvestView):
    """One file of one build; the bytes at an address never change, they only go."""

    content_negotiation_class = ViewChooses

    @extend_schema(
        operation_id="read_file",
        tags=["harvest"],
        summary="A whole-release file, or a range of its bytes",
        description="The ETag is the SHA-256. Of several ranges, the whole file is answered.",
        parameters=[
            OpenApiParameter("Range", str, OpenApiParameter.HEADER, description="bytes=0-1023"),
            OpenApiParameter("If-Range", str, OpenApiParameter.HEADER, description="An ETag."),
        ],
        responses={
            **{
                (status, kind): OpenApiResponse(OpenApiTypes.BINARY, description="Bytes.")
                for kind in FILE_TYPES
                for status in (200, 206)
            },
            304: OpenApiResponse(description="Not changed."),
            **problems(400, 404, 410, 412, 416, 429),
        },
    )
    def get(self, request: Request, release: int, build: int, name: str) -> HttpResponseBase:
        """Answer the bytes."""
        require_known(request.query_params, [])
        file = _standing_file(release, build, name)
        etag, built_at = f'"{file.sha256}"', file.built_at.replace(microsecond=0)
        response: HttpResponseBase | None = _not_modified(request, etag, built_at)
        if response is None:
            wanted = _wanted(request, file, etag, http_date(built_at.timestamp()))
            response = _head_of(file) if request.method == "HEAD" else _bytes_of(file, wanted)
        response["Accept-Ranges"] = "bytes"
        response["ETag"] = etag
        response["Last-Modified"] = http_date(built_at.timestamp())
        # No compressing on the way: the ranges are of these bytes.
        response["Cache-Control"] = "public, max-age=300, no-transform"
        return response


class Slice:
    """A range of an open file, to be read once."""

    def __init__(self, file: IO[bytes], wanted: ByteRange) -> None:
        self.file = file
        self.file.seek(wanted.first)
        self.left = wanted.size_bytes

    def read(self, size: int) -> bytes:
        """Return the next bytes of the range."""
        content = self.file.read(min(size, self.left))
        self.left -= len(content)
        return content

    def close(self) -> None:
        """Close the file."""
        self.file.close()


def _standing_file(release: int, build: int, name: str) -> ReleaseFile:
    """Return a file that can be had.

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
    return file


def _not_modified(request: Request, etag: str, built_at: datetime) -> HttpResponse | None:
    """Return a 304 if the caller holds the file.

    Raises
    ------
    Problem
        If the caller wants it only as something that it is not (412).
    """
    answer = get_conditional_response(request._request, etag, int(built_at.timestamp()))  # noqa: SLF001 -- DRF's way to Django's request
    if answer is not None and answer.status_code == PRECONDITION_FAILED:
        code = "revision-stale"
        raise Problem(code, "The file at this address is not the one that the request names.")
    return answer


def _wanted(request: Request, file: ReleaseFile, etag: str, last_modified: str) -> ByteRange | None:
    """Return the range to answer, if there is one; only GET has ranges.

    Raises
    ------
    Problem
        If the file has none of the bytes (416).
    """
    conditional = request.headers.get("If-Range")
    applies = range_applies(conditional, etag=etag, last_modified=last_modified)
    if request.method != "GET" or not applies:
        return None
    try:
        return requested_range(request.headers.get("Range"), file.size_bytes)
    except NotSatisfiable as error:
        code = "range-not-satisfiable"
        headers = {"Content-Range": f"bytes */{file.size_bytes}"}
        raise Problem(code, str(error), headers=headers) from error


def _head_of(file: ReleaseFile) -> HttpResponse:
    return HttpResponse(
        content_type=file.media_type,
        headers={
            "Content-Length": str(file.size_bytes),
            "Content-Disposition": _disposition(file),
        },
    )


def _bytes_of(file: ReleaseFile, wanted: ByteRange | None) -> FileResponse:
    content = default_storage.open(file.storage_name)
    if wanted is None:
        response = FileResponse(content, content_type=file.media_type)
        response["Content-Length"] = str(file.size_bytes)
    else:
        part = Slice(content, wanted)
        response = FileResponse(part, status=206, content_type=file.media_type)
        response["Content-Range"] = wanted.content_range(file.size_bytes)
        response["Content-Length"] = str(wanted.size_bytes)
    response["Content-Disposition"] = _disposition(file)
    return response


def _disposition(file: ReleaseFile) -> str:
    return f'attachment; filename="release-{file.release_id}-{file.build}-{file.name}"'
