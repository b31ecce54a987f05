"""Taking a visit back, and appealing a decision."""

from typing import ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.reading import (
    json_object,
)
from api.partners.shapes import visit_report
from api.schema import json_body, problems
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from surveys.intake.reading import is_odd_text
from surveys.moderation.operations import appeal
from surveys.moderation.refusals import NotDecidable
from surveys.visits.models import VisitState


def read_reason_class(request: Request) -> ReasonClass:
    """Return the reason class named in the body.

    Raises
    ------
    Problem
        If it is missing or unknown.
    """
    sent = json_object(request).get("reason_class")
    allowed = [reason.value for reason in ReasonClass if reason != ReasonClass.PLACE_PROTECTED]
    try:
        return ReasonClass(allowed[allowed.index(str(sent))])
    except ValueError as error:
        code = "parameter-wrong"
        raise Problem(
            code,
            f"Send reason_class: {' or '.join(allowed)}.",
            parameter="reason_class",
            received=str(sent)[:80],
            allowed=allowed,
        ) from error


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
