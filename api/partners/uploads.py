"""Sending a file of many visits: it is taken to the disk, and a worker does the rest."""

import uuid
from typing import Any, ClassVar, NoReturn

from django.conf import settings
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.job_shapes import JOB, job_address, job_shape
from api.partners.reading import choice, only_known
from api.partners.upload_parser import FORM, PARSERS, RAW_TYPES, Taker
from api.schema import json_body, problems
from api.tokens import token_of
from surveys.people.models import Group
from surveys.uploads.models import UploadJob
from surveys.uploads.operations import ANSWERS, WrongState, receive, refuse_too_many
from surveys.uploads.queries import jobs_of
from surveys.uploads.store import TooLarge, incoming

PAGE = 100
FORM_BYTES = 16 * 1024  # what a form may have around the file
FILE = {"type": "string", "format": "binary"}
BODIES: dict[str, Any] = {
    **dict.fromkeys(RAW_TYPES, FILE),
    FORM: {
        "type": "object",
        "required": ["file"],
        "properties": {"file": FILE},
        "additionalProperties": False,
    },
}
READING_PARAMETERS = [
    OpenApiParameter(name, str, enum=list(words), description="How the file is to be read.")
    for name, words in ANSWERS.items()
]


class UploadsView(PartnerView):
    """Files of many visits."""

    practises = True
    parser_classes = PARSERS
    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"POST": "submit"}

    @extend_schema(
        operation_id="list_uploads",
        tags=["partner"],
        summary="Own uploads, newest first",
        parameters=[
            OpenApiParameter("before", OpenApiTypes.UUID, description="Continue below this one.")
        ],
        responses={200: json_body("Uploads."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer own jobs.

        Raises
        ------
        Problem
            If ``before`` names no job of the group.
        """
        only_known(request, "before")
        own = jobs_of(self.group_of(request))
        before = request.query_params.get("before")
        if before is not None:
            try:
                last = own.get(public_key=uuid.UUID(before))
            except (ValueError, UploadJob.DoesNotExist) as error:
                code = "not-found"
                raise Problem(code) from error
            own = own.filter(id__lt=last.pk)
        page = list(own[: PAGE + 1])
        following = page[PAGE - 1].public_key if len(page) > PAGE else None
        base = job_address("uploads")
        return Response(
            {
                "data": [job_shape(job) for job in page[:PAGE]],
                "links": {"next": f"{base}?before={following}" if following else None},
            }
        )

    @extend_schema(
        operation_id="send_upload",
        tags=["partner"],
        summary="Send a file of many visits: CSV, NDJSON, XLSX, or a zip of one of them and photos",
        description=(
            "The answer names a job: ask it how far the file is. A file that can be read in two "
            "ways (03/04/2026, 1,234, letters in no Unicode) waits until you say which is meant, "
            "by the parameters here or at the job. Sending a file again stores nothing twice: "
            "visits are known by client_ref. What a file is, is told by its bytes."
        ),
        request=BODIES,
        parameters=[
            OpenApiParameter("dry_run", str, enum=["false", "true"]),
            *READING_PARAMETERS,
        ],
        responses={
            202: json_body("The job, queued.", JOB),
            **problems(400, 401, 403, 409, 413, 415, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Take a file to the disk and queue its job.

        Raises
        ------
        Problem
            If there is no file, or it is too large.
        """
        only_known(request, "dry_run", *ANSWERS)
        is_rehearsal = choice(request, "dry_run", ("false", "true")) == "true"
        answers = {
            name: choice(request, name, words)
            for name, words in ANSWERS.items()
            if name in request.query_params
        }
        group = self.group_of(request)
        _refuse(request, group)
        key, take = uuid.uuid4(), _taker(request)
        try:
            with incoming(key, settings.UPLOAD_MAX_BYTES) as file:
                take(file)
                _refuse_empty(file.size)
                job = receive(
                    group=group,
                    token_name=token_of(request).name,
                    key=key,
                    file=file,
                    answers=answers,
                    is_rehearsal=is_rehearsal,
                    at=timezone.now(),
                )
        except TooLarge:
            _refuse_too_large()
        shape = job_shape(job)
        headers = {"Location": shape["links"]["self"], "Retry-After": "1"}
        return Response(shape, status=202, headers=headers)


def _taker(request: Request) -> Taker:
    """Return what takes the body; DRF has none for a body of no bytes.

    Raises
    ------
    Problem
        If there is no body.
    """
    taker: Any = request.data
    if not callable(taker):
        _refuse_empty(0)
    take: Taker = taker
    return take


def _refuse(request: Request, group: Group) -> None:
    """Refuse before the first byte is read.

    Raises
    ------
    Problem
        If too many jobs are open, or the announced length is over the limit.
    """
    code = "wrong-state"
    try:
        refuse_too_many(group)
    except WrongState as error:
        raise Problem(code, str(error)) from error
    length = str(request.META.get("CONTENT_LENGTH") or "0")
    if length.isdigit() and int(length[:18]) > settings.UPLOAD_MAX_BYTES + FORM_BYTES:
        _refuse_too_large()


def _refuse_empty(size: int) -> None:
    """Refuse a body of no bytes.

    Raises
    ------
    Problem
        If it is one.
    """
    code = "parameter-wrong"
    if not size:
        raise Problem(code, "The body is empty. Send a file.", parameter="file")


def _refuse_too_large() -> NoReturn:
    """Refuse.

    Raises
    ------
    Problem
        Always.
    """
    limit = settings.UPLOAD_MAX_BYTES
    code = "too-large"
    detail = f"The file is over the limit of {limit} bytes. Send it in parts."
    raise Problem(code, detail, max_bytes=limit)
