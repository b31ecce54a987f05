"""What a partner group does: send, look up, correct, take back."""

from typing import ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.errors import MEDIA_TYPE, Problem, problem_document, with_docs
from api.links import address
from api.parsing import body_of
from api.partners.reading import (
    choice,
    expected_revision,
    idempotency_key,
    json_object,
    only_known,
    revision_tag,
)
from api.partners.shapes import documented, submission_summary, visit_report
from api.schema import FAULT, json_body, problems
from api.throttling import TokenThrottle
from api.tokens import BearerToken, GroupScope, token_of
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from surveys.intake.corrections import NotCorrectable, StaleRevision, correct
from surveys.intake.operations import ON_ERROR, Answer, KeyReused, submit
from surveys.intake.payload import BatchIn, VisitIn
from surveys.intake.queries import submissions_of, visits_of
from surveys.intake.reading import is_odd_text
from surveys.moderation.operations import NotDecidable, appeal
from surveys.people.models import Group
from surveys.protocol.queries import all_versions
from surveys.visits.models import Visit, VisitState

PAGE = 100
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


class PartnerView(APIView):
    """For a group's token with the scope that the method needs."""

    authentication_classes = [BearerToken]
    permission_classes = [GroupScope]
    throttle_classes = [TokenThrottle]
    scopes: ClassVar[dict[str, str]] = {"GET": "read", "HEAD": "read", "OPTIONS": "read"}

    def group_of(self, request: Request) -> Group:
        """Return the group that holds the token."""
        group = token_of(request).group
        assert group is not None  # noqa: S101 -- the permission saw to it
        return group

    def visit_of(self, request: Request, client_ref: str) -> Visit:
        """Return one of the group's own visits.

        Raises
        ------
        Problem
            If the group has no such visit; another group's is as unknown as none.
        """
        visit = visits_of(self.group_of(request)).filter(client_ref=client_ref).first()
        if visit is None:
            code = "not-found"
            raise Problem(code)
        return visit


class MeView(PartnerView):
    """The token itself."""

    @extend_schema(
        operation_id="read_me",
        tags=["partner"],
        summary="Group, token name, scopes and expiry",
        responses={200: json_body("The token."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer whose token this is."""
        token = token_of(request)
        return Response(
            {
                "group": self.group_of(request).code,
                "token": {"name": token.name, "prefix": token.prefix, "scopes": token.scopes},
                "expires_at": f"{token.expires_at:%Y-%m-%dT%H:%M:%SZ}",
                "last_used_at": f"{token.last_used_at:%Y-%m-%dT%H:%M:%SZ}"
                if token.last_used_at
                else None,
            }
        )


class SubmissionsView(PartnerView):
    """Batches."""

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
        base = "/api/v1/partner/submissions"
        following = address(f"{base}?before={page[-1].public_key}") if more else None
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
        responses={200: _ANSWER, **problems(400, 401, 403, 413, 415, 422, 429)},
    )
    def post(self, request: Request) -> Response:
        """Take a batch in.

        Raises
        ------
        Problem
            If the idempotency key came before with another request.
        """
        only_known(request, "dry_run", "on_error")
        token = token_of(request)
        try:
            answer = submit(
                group=self.group_of(request),
                token_name=token.name,
                body=body_of(request),
                key=idempotency_key(request),
                dry_run=choice(request, "dry_run", ("false", "true")) == "true",
                on_error=choice(request, "on_error", ON_ERROR),
                at=timezone.now(),
            )
        except KeyReused as error:
            code = "idempotency-reused"
            raise Problem(code, str(error)) from error
        return _submission_answer(answer)


def _submission_answer(answer: Answer) -> Response:
    headers = {"Idempotent-Replayed": "true"} if answer.replayed else {}
    members = answer.body | with_docs(answer.body["errors"])
    if answer.status == 200:  # noqa: PLR2004 -- HTTP
        if members["submission"]:
            headers["Location"] = address(f"/api/v1/partner/submissions/{members['submission']}")
        return Response(members, headers=headers)
    code = "body-not-json" if answer.status == 400 else "invalid-records"  # noqa: PLR2004 -- HTTP
    summary = members.get("summary")
    detail = (
        f"{summary['rejected']} of {summary['received']} visits were not accepted. Correct the "
        "listed fields and send those visits again."
        if summary
        else members["errors"][0]["message"]
    )
    document = problem_document(code, detail, **members)
    return Response(document, status=answer.status, headers=headers, content_type=MEDIA_TYPE)


class SubmissionView(PartnerView):
    """One batch."""

    @extend_schema(
        operation_id="read_submission",
        tags=["partner"],
        summary="One own submission",
        responses={200: json_body("The submission."), **problems(401, 403, 404, 429)},
    )
    def get(self, request: Request, key: UUID) -> Response:
        """Answer one submission.

        Raises
        ------
        Problem
            If the group has no such submission.
        """
        submission = submissions_of(self.group_of(request)).filter(public_key=key).first()
        if submission is None:
            code = "not-found"
            raise Problem(code)
        return Response(submission_summary(submission))


class ProtocolsView(PartnerView):
    """Protocols to follow."""

    @extend_schema(
        operation_id="list_protocols",
        tags=["partner"],
        summary="Every protocol version: steps, lines of the form, limits, cautions",
        responses={200: json_body("Protocols."), **problems(401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer all protocol versions as data."""
        del request
        return Response({"data": [version.definition for version in all_versions()]})


class VisitsView(PartnerView):
    """Own visits."""

    @extend_schema(
        operation_id="list_own_visits",
        tags=["partner"],
        summary="Own visits and where their review stands",
        parameters=[OpenApiParameter("state", str, enum=list(VisitState.values))],
        responses={200: json_body("Visits."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer own visits, newest first."""
        only_known(request, "state")
        state = request.query_params.get("state")
        if state is not None:
            state = choice(request, "state", tuple(VisitState.values))
        visits = visits_of(self.group_of(request), state=state)
        return Response({"data": [visit_report(visit) for visit in visits]})


class VisitView(PartnerView):
    """One own visit."""

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"PUT": "submit"}

    @extend_schema(
        operation_id="read_own_visit",
        tags=["partner"],
        summary="One own visit, with open questions and reviews",
        responses={200: json_body("The visit."), **problems(401, 403, 404, 429)},
    )
    def get(self, request: Request, client_ref: str) -> Response:
        """Answer one visit with its revision as ETag."""
        visit = self.visit_of(request, client_ref)
        return Response(visit_report(visit), headers={"ETag": revision_tag(visit.revision)})

    @extend_schema(
        operation_id="correct_visit",
        tags=["partner"],
        summary="Correct a visit: a new revision, the old one kept",
        request=VisitIn,
        parameters=[
            OpenApiParameter("If-Match", str, location=OpenApiParameter.HEADER, required=True)
        ],
        responses={
            200: json_body("The visit."),
            **problems(400, 401, 403, 404, 412, 415, 422, 428, 429),
        },
    )
    def put(self, request: Request, client_ref: str) -> Response:
        """Store a correction.

        Raises
        ------
        Problem
            If the revision is stale, or the content has an error.
        """
        visit = self.visit_of(request, client_ref)
        revision = expected_revision(request)
        token = token_of(request)
        try:
            visit, faults = correct(
                group=self.group_of(request),
                token_name=token.name,
                visit=visit,
                body=body_of(request),
                raw=json_object(request),
                revision=revision,
                at=timezone.now(),
            )
        except StaleRevision as error:
            code = "revision-stale"
            current = revision_tag(error.current)
            raise Problem(code, str(error), current=current, headers={"ETag": current}) from error
        except NotCorrectable as error:
            code = "invalid-records"
            raise Problem(code, **documented(error.faults)) from error
        return Response(
            visit_report(visit) | documented(faults),
            headers={"ETag": revision_tag(visit.revision)},
        )


class WithdrawalView(PartnerView):
    """Taking a visit back."""

    scopes: ClassVar[dict[str, str]] = {"POST": "withdraw"}

    @extend_schema(
        operation_id="withdraw_visit",
        tags=["partner"],
        summary="Take a visit out of every release, at once",
        request={"application/json": {"type": "object", "properties": {"reason_class": {}}}},
        responses={200: json_body("The visit."), **problems(400, 401, 403, 404, 409, 415, 429)},
    )
    def post(self, request: Request, client_ref: str) -> Response:
        """Withdraw a visit.

        Raises
        ------
        Problem
            If the visit is withdrawn already, or the reason class is unknown.
        """
        visit = self.visit_of(request, client_ref)
        reason_class = read_reason_class(request)
        if visit.state == VisitState.WITHDRAWN:
            code = "wrong-state"
            raise Problem(code, "The visit is withdrawn already.")
        withdrawn = withdraw_visits(
            visits=[visit],
            reason_class=reason_class,
            at=timezone.now(),
            by=f"group {visit.group.code}",
        )
        visit.refresh_from_db()
        return Response(visit_report(visit) | {"public_records_withdrawn": withdrawn})


def read_reason_class(request: Request) -> ReasonClass:
    """Return the reason class named in the body.

    Raises
    ------
    Problem
        If it is missing or unknown.
    """
    sent = json_object(request).get("reason_class")
    try:
        return ReasonClass(str(sent))
    except ValueError as error:
        allowed = [reason.value for reason in ReasonClass]
        code = "parameter-wrong"
        raise Problem(
            code,
            f"Send reason_class: {' or '.join(allowed)}.",
            parameter="reason_class",
            received=str(sent)[:80],
            allowed=allowed,
        ) from error


class AppealView(PartnerView):
    """Asking for a second reviewer."""

    scopes: ClassVar[dict[str, str]] = {"POST": "submit"}

    @extend_schema(
        operation_id="appeal_decision",
        tags=["partner"],
        summary="Appeal a decision; another reviewer looks again",
        request={
            "application/json": {
                "type": "object",
                "properties": {"text": {"type": "string"}},
                "required": ["text"],
            }
        },
        responses={200: json_body("The visit."), **problems(400, 401, 403, 404, 409, 415, 429)},
    )
    def post(self, request: Request, client_ref: str) -> Response:
        """Reopen a decided visit.

        Raises
        ------
        Problem
            If no reason is given, or there is no decision to appeal.
        """
        visit = self.visit_of(request, client_ref)
        text = json_object(request).get("text")
        if not isinstance(text, str) or not text.strip() or is_odd_text(text):
            code = "parameter-wrong"
            raise Problem(code, "Say in 'text' why the decision should be looked at again.")
        try:
            appeal(visit=visit, text=text[:2000], at=timezone.now())
        except NotDecidable as error:
            code = "wrong-state"
            raise Problem(code, str(error)) from error
        visit.refresh_from_db()
        return Response(visit_report(visit))
