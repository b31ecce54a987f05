"""Sending batches and looking them up."""

from typing import ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import (
    ERRORS_INLINE,
    MEDIA_TYPE,
    Problem,
    documented,
    problem_document,
    with_docs,
)
from api.german import NOT_ACCEPTED
from api.links import address
from api.parsing import body_of
from api.partners.base import PartnerView
from api.partners.reading import (
    choice,
    idempotency_key,
    only_known,
    whole_number,
)
from api.partners.shapes import submission_summary
from api.schema import FAULT, json_body, problems
from api.tokens import token_of
from portal.publication.changed_places import withdraw_coarsened
from surveys.intake.idempotency import Answer, KeyBusy, KeyReused
from surveys.intake.models import Submission
from surveys.intake.operations import ON_ERROR, submit
from surveys.intake.payload import BatchIn
from surveys.intake.queries import faults_of, submissions_of
from surveys.intake.wording import translated
from surveys.people.models import Group

PAGE = 100
BASE = "/api/v1/partner/submissions"
_ANSWER = json_body(
    "What became of each visit.",
    {
        "submission": {"type": ["string", "null"]},
        "stored": {"type": "boolean"},
        "summary": {"type": "object"},
        "items": {"type": "array", "items": {"type": "object"}},
        "errors": {"type": "array", "items": FAULT},
    },
)


class SubmissionsView(PartnerView):
    """Batches."""

    practises = True

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"POST": "submit"}

    @extend_schema(
        operation_id="list_submissions",
        tags=["partner"],
        summary="Own submissions, newest first, with the state of each visit",
        parameters=[
            OpenApiParameter("before", OpenApiTypes.UUID, description="Continue below this one.")
        ],
        responses={200: json_body("Submissions."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer own submissions.

        Raises
        ------
        Problem
            If ``before`` names no submission of the group.
        """
        only_known(request, "before")
        own = submissions_of(self.group_of(request))
        before = request.query_params.get("before")
        if before is not None:
            try:
                last = own.get(public_key=UUID(before))
            except (ValueError, own.model.DoesNotExist) as error:
                code = "not-found"
                raise Problem(code) from error
            own = own.filter(id__lt=last.pk)
        page = list(own[: PAGE + 1])
        more = len(page) > PAGE
        page = page[:PAGE]
        following = address(f"{BASE}?before={page[-1].public_key}") if more else None
        return Response(
            {"data": [submission_summary(one) for one in page], "links": {"next": following}}
        )

    @extend_schema(
        operation_id="send_submission",
        tags=["partner"],
        summary="Send 1 to 200 visits",
        request=BatchIn,
        parameters=[
            OpenApiParameter("dry_run", str, enum=["false", "true"]),
            OpenApiParameter("on_error", str, enum=list(ON_ERROR)),
            OpenApiParameter("Idempotency-Key", str, location=OpenApiParameter.HEADER),
        ],
        responses={200: _ANSWER, **problems(400, 401, 403, 409, 413, 415, 422, 429)},
    )
    def post(self, request: Request) -> Response:
        """Take a batch in.

        Raises
        ------
        Problem
            If the idempotency key came before with another request, or is still at work.
        """
        only_known(request, "dry_run", "on_error")
        token, group, now = token_of(request), self.group_of(request), timezone.now()
        try:
            answer = submit(
                group=group,
                token_name=token.name,
                body=body_of(request),
                key=idempotency_key(request),
                dry_run=choice(request, "dry_run", ("false", "true")) == "true",
                on_error=choice(request, "on_error", ON_ERROR),
                at=now,
            )
        except KeyReused as error:
            code = "idempotency-reused"
            raise Problem(code, str(error)) from error
        except KeyBusy as error:
            code = "idempotency-busy"
            raise Problem(code, str(error), headers={"Retry-After": "2"}) from error
        withdraw_coarsened(group=group, since=now)
        return _submission_answer(answer)


def _submission_answer(answer: Answer) -> Response:
    headers = {"Idempotent-Replayed": "true"} if answer.replayed else {}
    kept = answer.body.get("submission")
    whole = address(f"{BASE}/{kept}/faults") if kept else None
    members = answer.body | with_docs(translated(answer.body["errors"]), whole)
    if answer.status == 200:  # noqa: PLR2004 -- HTTP
        if members["submission"]:
            headers["Location"] = address(f"{BASE}/{members['submission']}")
        return Response(members, headers=headers)
    code = "body-not-json" if answer.status == 400 else "invalid-records"  # noqa: PLR2004 -- HTTP
    summary = members.get("summary")
    detail = (
        f"{summary['rejected']} of {summary['received']} visits were not accepted. Correct the "
        "listed fields and send those visits again."
        if summary
        else members["errors"][0]["message"]
    )
    german = NOT_ACCEPTED.format(**summary) if summary else ""
    document = problem_document(code, detail, german=german, **members)
    return Response(document, status=answer.status, headers=headers, content_type=MEDIA_TYPE)


class SubmissionView(PartnerView):
    """One batch."""

    practises = True

    @extend_schema(
        operation_id="read_submission",
        tags=["partner"],
        summary="One own submission",
        responses={200: json_body("The submission."), **problems(401, 403, 404, 429)},
    )
    def get(self, request: Request, key: UUID) -> Response:
        """Answer one submission."""
        return Response(submission_summary(own_submission(self.group_of(request), key)))


class FaultsView(PartnerView):
    """Every fault of one batch."""

    practises = True

    @extend_schema(
        operation_id="list_submission_faults",
        tags=["partner"],
        summary="All faults, queries and notes of one own submission, a page at a time",
        parameters=[OpenApiParameter("after", int, description="Leave out so many.")],
        responses={
            200: json_body(
                "Faults in the order of the visits.",
                {
                    "data": {"type": "array", "items": FAULT},
                    "links": {"type": "object"},
                },
            ),
            **problems(400, 401, 403, 404, 429),
        },
    )
    def get(self, request: Request, key: UUID) -> Response:
        """Answer a page of faults."""
        only_known(request, "after")
        after = whole_number(request, "after")
        submission = own_submission(self.group_of(request), key)
        found = faults_of(submission, after=after, limit=ERRORS_INLINE + 1)
        page = [documented(fault) for fault in translated(found[:ERRORS_INLINE])]
        more = len(found) > ERRORS_INLINE
        following = f"{BASE}/{key}/faults?after={after + ERRORS_INLINE}"
        return Response({"data": page, "links": {"next": address(following) if more else None}})


def own_submission(group: Group, key: UUID) -> Submission:
    """Return one of a group's own submissions.

    Raises
    ------
    Problem
        If the group has no such submission.
    """
    submission = submissions_of(group).filter(public_key=key).first()
    if submission is None:
        code = "not-found"
        raise Problem(code)
    return submission
