"""A group's participants and their consent to publication."""

import re
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.leaving import read_reason_class
from api.partners.reading import json_object
from api.partners.shapes import documented
from api.schema import json_body, problems
from portal.publication.withdrawal import withdraw_participant
from surveys.intake.reading import read_shape
from surveys.people.models import (
    ConsentDecision,
    ConsentGiver,
    ConsentPurpose,
    Group,
    Participant,
)
from surveys.people.operations import record_consent, register_participant

CODE = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"


class ConsentIn(BaseModel):
    """One answer to the question of publication."""

    model_config = ConfigDict(extra="forbid")

    decision: ConsentDecision
    given_by: ConsentGiver
    statement_version: str = Field(min_length=1, max_length=20)


class ParticipantIn(BaseModel):
    """A participant as the group knows them; no name is needed."""

    model_config = ConfigDict(extra="forbid")

    household: str = Field(pattern=CODE, description="Household, farm or institution code.")
    consent_to_publish: ConsentIn


class ParticipantView(PartnerView):
    """One participant."""

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"PUT": "submit"}

    @extend_schema(
        operation_id="read_participant",
        tags=["partner"],
        summary="A participant and their consents",
        responses={200: json_body("The participant."), **problems(401, 403, 404, 429)},
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer a participant."""
        return Response(_shape(participant_of(self.group_of(request), code)))

    @extend_schema(
        operation_id="register_participant",
        tags=["partner"],
        summary="Register a participant and their consent to publication",
        request=ParticipantIn,
        responses={
            200: json_body("The participant."),
            **problems(400, 401, 403, 415, 422, 429),
        },
    )
    def put(self, request: Request, code: str) -> Response:
        """Register a participant, or add an answer to their consent history.

        Raises
        ------
        Problem
            If the code or the body has an error.
        """
        if not re.fullmatch(CODE, code):
            wrong = "parameter-wrong"
            raise Problem(wrong, f"A participant's code looks like {CODE}.", received=code[:80])
        sent, faults = read_shape(ParticipantIn, json_object(request))
        if sent is None:
            invalid = "invalid-records"
            raise Problem(invalid, **documented(faults))
        now = timezone.now()
        participant = register_participant(
            group=self.group_of(request), code=code, household=sent.household, at=now
        )
        answer = sent.consent_to_publish
        last = participant.consents.filter(purpose=ConsentPurpose.PUBLISH).last()
        if last is None or (last.decision, last.given_by, last.statement_version) != (
            answer.decision,
            answer.given_by,
            answer.statement_version,
        ):
            record_consent(
                participant=participant,
                purpose=ConsentPurpose.PUBLISH,
                decision=answer.decision,
                given_by=answer.given_by,
                statement_version=answer.statement_version,
                at=now,
            )
        return Response(_shape(participant))


class ParticipantWithdrawalView(PartnerView):
    """Ending a participant's consent."""

    scopes: ClassVar[dict[str, str]] = {"POST": "withdraw"}

    @extend_schema(
        operation_id="withdraw_participant",
        tags=["partner"],
        summary="End a participant's consent and take all their records out, at once",
        request={"application/json": {"type": "object", "properties": {"reason_class": {}}}},
        responses={
            200: json_body("The participant."),
            **problems(400, 401, 403, 404, 415, 429),
        },
    )
    def post(self, request: Request, code: str) -> Response:
        """Withdraw a participant's records from every release."""
        participant = participant_of(self.group_of(request), code)
        withdrawn = withdraw_participant(
            participant=participant,
            reason_class=read_reason_class(request),
            at=timezone.now(),
            by=f"group {participant.group.code}",
        )
        return Response(_shape(participant) | {"public_records_withdrawn": withdrawn})


def participant_of(group: Group, code: str) -> Participant:
    """Return one of the group's own participants.

    Raises
    ------
    Problem
        If the group has no such participant; another group's is as unknown as none.
    """
    participant = group.participants.filter(code=code).first()
    if participant is None:
        unknown = "not-found"
        raise Problem(unknown)
    return participant


def _shape(participant: Participant) -> dict[str, Any]:
    return {
        "code": participant.code,
        "household": participant.household,
        "consents": [
            {
                "purpose": consent.purpose,
                "decision": consent.decision,
                "given_by": consent.given_by,
                "statement_version": consent.statement_version,
                "decided_at": f"{consent.decided_at:%Y-%m-%dT%H:%M:%SZ}",
            }
            for consent in participant.consents.order_by("id")
        ],
    }
