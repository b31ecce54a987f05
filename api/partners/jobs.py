"""How far an upload is, what is wrong in it, what it asks, and stopping it."""

import uuid
from collections.abc import Iterator
from typing import ClassVar, Literal

from django.db.models import QuerySet
from django.http import FileResponse, HttpResponseBase, StreamingHttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import BaseModel, ConfigDict
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.parsing import read_body
from api.partners.base import PartnerView
from api.partners.job_shapes import JOB, fault_shape, job_address, job_shape
from api.partners.reading import choice, only_known
from api.schema import json_body, problems
from surveys.intake.wording import translated
from surveys.uploads.cells import Dates, Decimal
from surveys.uploads.error_tables import NoSheet, annotated, faults_csv
from surveys.uploads.models import OPEN_STATES, UploadFault, UploadJob
from surveys.uploads.operations import StillAsking, WrongState, cancel, confirm
from surveys.uploads.queries import faults_of, jobs_of
from surveys.uploads.store import sent_file
from surveys.uploads.templates import MEDIA_TYPES

PAGE = 200
SEVERITIES = ("error", "query", "all")
ANSWER = json_body("The job.", JOB)


class ConfirmationIn(BaseModel):
    """Answers to what a job asks; ``store`` lets a rehearsed file be stored."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    encoding: Literal["utf-8", "utf-16", "windows-1252"] | None = None
    separator: Literal["comma", "semicolon", "tab"] | None = None
    decimal: Decimal | None = None
    dates: Dates | None = None
    store: bool = False


class JobView(PartnerView):
    """One job."""

    practises = True
    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"DELETE": "submit"}

    @extend_schema(
        operation_id="read_job",
        tags=["partner"],
        summary="How far an upload is, how it is read, and what it asks",
        responses={200: ANSWER, **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, key: uuid.UUID) -> Response:
        """Answer a job; an unfinished one says when to ask again."""
        only_known(request)
        job = job_of(self, request, key)
        headers = {"Retry-After": "5"} if job.state in OPEN_STATES else {}
        return Response(job_shape(job), headers=headers)

    @extend_schema(
        operation_id="cancel_job",
        tags=["partner"],
        summary="Stop an upload; what it has stored stays",
        request=None,
        responses={
            200: json_body("The job, cancelled, or about to be.", JOB),
            **problems(400, 401, 403, 404, 409, 429),
        },
    )
    def delete(self, request: Request, key: uuid.UUID) -> Response:
        """Cancel a job.

        Raises
        ------
        Problem
            If it is finished.
        """
        only_known(request)
        code = "wrong-state"
        try:
            job = cancel(job=job_of(self, request, key), at=timezone.now())
        except WrongState as error:
            raise Problem(code, str(error)) from error
        return Response(job_shape(job))


class ConfirmationView(PartnerView):
    """The answer to what a job asks."""

    practises = True
    scopes: ClassVar[dict[str, str]] = {"POST": "submit", "OPTIONS": "submit"}

    @extend_schema(
        operation_id="confirm_job",
        tags=["partner"],
        summary="Say how a file is to be read, or let a rehearsed file be stored",
        request=ConfirmationIn,
        responses={
            202: json_body("The job, queued again.", JOB),
            **problems(400, 401, 403, 404, 409, 413, 415, 422, 429),
        },
    )
    def post(self, request: Request, key: uuid.UUID) -> Response:
        """Queue a job again.

        Raises
        ------
        Problem
            If it asks nothing, or a question stays open.
        """
        only_known(request)
        job = job_of(self, request, key)
        sent = read_body(ConfirmationIn, request)
        answers = sent.model_dump(exclude={"store"}, exclude_none=True)
        code = "wrong-state"
        try:
            job = confirm(job=job, answers=answers, store=sent.store, at=timezone.now())
        except (WrongState, StillAsking) as error:
            raise Problem(code, str(error), questions=job.questions) from error
        shape = job_shape(job)
        return Response(shape, status=202, headers={"Location": shape["links"]["self"]})


class ErrorsView(PartnerView):
    """The faults of one file."""

    practises = True

    @extend_schema(
        operation_id="list_job_errors",
        tags=["partner"],
        summary="What is wrong in a file: row, column, received, allowed, hint",
        description="Rows are counted as a spreadsheet does; f=csv gives all of them as a table.",
        parameters=[
            OpenApiParameter("severity", str, enum=list(SEVERITIES)),
            OpenApiParameter("f", str, enum=["json", "csv"]),
            OpenApiParameter("after", OpenApiTypes.INT, description="Continue after this one."),
        ],
        responses={
            (200, "application/json"): json_body("A page of faults."),
            (200, "text/csv"): OpenApiTypes.STR,
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, key: uuid.UUID) -> HttpResponseBase:
        """Answer the faults, in the order of the file."""
        only_known(request, "severity", "f", "after")
        job = job_of(self, request, key)
        severity = choice(request, "severity", SEVERITIES)
        faults = faults_of(job, severity=None if severity == "all" else severity)
        if choice(request, "f", ("json", "csv")) == "csv":
            return _csv(faults_csv(faults.iterator()), f"errors-{job.public_key}.csv")
        return Response(_page(faults, _after(request), job, severity))


class SheetView(PartnerView):
    """The file as it was sent, with a column of errors."""

    practises = True

    @extend_schema(
        operation_id="download_job_sheet",
        tags=["partner"],
        summary="The sheet as it was sent, with a column that says what to mend",
        description="Mend it in place and send it again: the column is not read, and visits that "
        "are stored already are known by client_ref. Of a workbook only values are kept.",
        responses={
            (200, "text/csv"): OpenApiTypes.BINARY,
            (200, MEDIA_TYPES["xlsx"]): OpenApiTypes.BINARY,
            **problems(400, 401, 403, 404, 409, 429),
        },
    )
    def get(self, request: Request, key: uuid.UUID) -> FileResponse:
        """Answer the sheet.

        Raises
        ------
        Problem
            If the job isn't finished, or what was sent is no sheet.
        """
        only_known(request)
        job = job_of(self, request, key)
        code = "wrong-state"
        if job.state in OPEN_STATES:
            raise Problem(code, f"The job is {job.state}. Ask again when it is done.")
        path = sent_file(job).with_name(f"sheet-{uuid.uuid4()}")
        try:
            ending = annotated(job, path)
            file = path.open("rb")
        except NoSheet as error:
            raise Problem(code, str(error)) from error
        finally:
            path.unlink(missing_ok=True)  # the open file lasts until it is sent
        name = f"mend-{job.public_key}.{ending}"
        return FileResponse(
            file, as_attachment=True, filename=name, content_type=MEDIA_TYPES[ending]
        )


def job_of(view: PartnerView, request: Request, key: uuid.UUID) -> UploadJob:
    """Return one of the group's own jobs.

    Raises
    ------
    Problem
        If the group has no such job.
    """
    job = jobs_of(view.group_of(request)).filter(public_key=key).first()
    if job is None:
        code = "not-found"
        raise Problem(code)
    return job


def _after(request: Request) -> int:
    """Return after which fault the page begins.

    Raises
    ------
    Problem
        If it is no number of one.
    """
    text = request.query_params.get("after", "0")
    if not (text.isascii() and text.isdigit() and len(text) <= 18):  # noqa: PLR2004 -- 64 bits
        code = "parameter-wrong"
        raise Problem(code, "Follow the links as given.", parameter="after", received=text[:80])
    return int(text)


def _page(
    faults: QuerySet[UploadFault], after: int, job: UploadJob, severity: str
) -> dict[str, object]:
    page = list(faults.filter(id__gt=after)[: PAGE + 1])
    here = job_address(f"jobs/{job.public_key}/errors")
    following = page[PAGE - 1].pk if len(page) > PAGE else None
    return {
        "data": translated(fault_shape(fault) for fault in page[:PAGE]),
        "links": {
            "next": f"{here}?severity={severity}&after={following}" if following else None,
            "csv": f"{here}?severity={severity}&f=csv",
        },
        "page": {"returned": min(len(page), PAGE), "matched": faults.count()},
    }


def _csv(lines: Iterator[str], name: str) -> StreamingHttpResponse:
    return StreamingHttpResponse(
        (line.encode() for line in lines),
        content_type=MEDIA_TYPES["csv"],
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
