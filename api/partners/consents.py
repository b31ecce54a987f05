"""What is asked about consent, and what a participant has answered so far."""

from datetime import datetime
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.reading import choice, only_known
from api.schema import json_body, problems
from surveys.people.models import Consent, ConsentPurpose, ConsentStatement, Participant
from surveys.people.receipts import receipt_of
from surveys.people.wording import LANGUAGES

LANG = OpenApiParameter("lang", str, enum=list(LANGUAGES), description="en, if left out.")


class ConsentsView(PartnerView):
    """A participant's history of answers."""

    practises = True

    @extend_schema(
        operation_id="list_consents",
        tags=["partner"],
        summary="Every answer of a participant about consent, with its receipt",
        description=(
            "in_force tells for each purpose whether it may be followed now. A receipt can be "
            "checked by anybody: its sha256 is that of the other members as JSON, UTF-8, with "
            "sorted keys and no spaces."
        ),
        responses={200: json_body("The answers."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer the history, oldest first.

        Raises
        ------
        Problem
            If the group has no such participant.
        """
        only_known(request)
        participant = self.group_of(request).participants.filter(code=code).first()
        if participant is None:
            unknown = "not-found"
            raise Problem(unknown)
        answers = participant.consents.select_related("participant__group").order_by("id")
        return Response(
            {
                "code": participant.code,
                "in_force": purposes_in_force(participant, timezone.now()),
                "data": [consent_shape(one) | {"receipt": receipt_of(one)} for one in answers],
            }
        )


class StatementsView(PartnerView):
    """What is asked."""

    practises = True

    @extend_schema(
        operation_id="list_consent_statements",
        tags=["partner"],
        summary="Every version of what is asked for each purpose, also at a child's level",
        description=(
            "Where meaning grows, answers to older meanings end on older_end_on: ask again. "
            "Versions of one meaning differ in their words only."
        ),
        parameters=[LANG],
        responses={200: json_body("The statements."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer all statements in one language."""
        only_known(request, "lang")
        language = choice(request, "lang", LANGUAGES)
        statements = ConsentStatement.objects.order_by("purpose", "valid_from", "id")
        return Response({"data": [_statement(one, language) for one in statements]})


def purposes_in_force(participant: Participant, at: datetime) -> dict[str, bool]:
    """Return for each purpose whether it may be followed at an instant."""
    return {
        purpose.value: Consent.objects.in_force(purpose, at)
        .filter(participant=participant)
        .exists()
        for purpose in ConsentPurpose
    }


def consent_shape(consent: Consent) -> dict[str, Any]:
    """Return an answer as its group may read it."""
    return {
        "purpose": consent.purpose,
        "decision": consent.decision,
        "given_by": consent.given_by,
        "giver": consent.giver,
        "statement_version": consent.statement_version,
        "language": consent.language,
        "evidence": consent.evidence or None,
        "evidence_ref": consent.evidence_ref,
        "decided_at": f"{consent.decided_at:%Y-%m-%dT%H:%M:%SZ}",
        "ends_on": consent.ends_on,
    }


def _statement(stored: ConsentStatement, language: str) -> dict[str, Any]:
    return {
        "purpose": stored.purpose,
        "version": stored.version,
        "meaning": stored.meaning,
        "valid_from": stored.valid_from,
        "older_end_on": stored.older_end_on,
        "language": language,
        "sha256": stored.sha256,
        **stored.texts[language],
    }
