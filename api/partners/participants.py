"""A group's participants and their answers about consent."""

import re
from dataclasses import replace
from datetime import date, datetime
from typing import Any, ClassVar

from django.db import transaction
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.partners.base import PartnerView
from api.partners.consents import consent_shape, purposes_in_force
from api.partners.leaving import read_reason_class
from api.partners.reading import json_object, only_known
from api.partners.shapes import documented
from api.schema import json_body, problems
from portal.publication.lapsing import Answer, take_answers
from portal.publication.withdrawal import withdraw_participant
from portal.records.operations import hold_feed
from surveys.intake.faults import Fault
from surveys.intake.reading import read_shape
from surveys.people.models import (
    Consent,
    ConsentDecision,
    ConsentEvidence,
    ConsentGiver,
    ConsentPurpose,
    Group,
    Participant,
)
from surveys.people.operations import (
    AnswerNotTaken,
    HowAnswered,
    describe_participant,
    register_participant,
)
from surveys.people.orcid import is_orcid
from surveys.people.receipts import receipt_of

CODE = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"
NAME = r"^[^|\s][^|]*$"
DESCRIBED = ("born_on", "of_age_by", "shown_name", "orcid")
NAMED_AT_HOME = (
    "The name stands beside records of a private garden. Whoever knows the person may guess which "
    "square of the map is theirs."
)


class AnswerIn(BaseModel):
    """One answer about one purpose.

    For participants under age two keys are needed: an answer ``given_by`` a guardian, and the
    child's own, ``given_by`` self. The no of either wins.
    """

    model_config = ConfigDict(extra="forbid")

    purpose: ConsentPurpose
    decision: ConsentDecision
    given_by: ConsentGiver
    giver: str = Field(
        default="",
        pattern=f"^$|{CODE}",
        description="Which guardian, if two answer: a word of yours, not a name.",
    )
    statement_version: str = Field(
        min_length=1, max_length=20, description="Of GET /api/v1/partner/consent-statements."
    )
    language: str = Field(default="", max_length=10, description="In which it was shown.")
    evidence: ConsentEvidence | None = None
    evidence_ref: str = Field(
        default="", pattern=f"^$|{CODE}", description="Where the form lies, such as folder-3."
    )
    answered_at: AwareDatetime | None = Field(default=None, description="Now, if left out.")
    ends_on: date | None = Field(default=None, description="First day without this consent.")

    def read(self) -> Answer:
        """Return the answer as it is to be recorded."""
        how = HowAnswered(self.giver, self.language, self.evidence or "", self.evidence_ref)
        return Answer(
            purpose=self.purpose,
            decision=self.decision,
            given_by=self.given_by,
            statement_version=self.statement_version,
            ends_on=self.ends_on,
            how=how,
            answered_at=self.answered_at,
        )


class ParticipantIn(BaseModel):
    """A participant as the group knows them; no name is needed."""

    model_config = ConfigDict(extra="forbid")

    household: str = Field(pattern=CODE, description="Household, farm or institution code.")
    born_on: date | None = Field(default=None, description="Decides who may answer.")
    of_age_by: date | None = Field(
        default=None, description="In place of a birthday: a day on which the person was of age."
    )
    shown_name: str = Field(
        default="", pattern=f"^$|{NAME}", max_length=100, description="If agreed to be named."
    )
    orcid: str = Field(default="", max_length=19)
    consents: list[AnswerIn] = Field(max_length=40)


class ParticipantView(PartnerView):
    """One participant."""

    practises = True

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"PUT": "submit"}

    @extend_schema(
        operation_id="read_participant",
        tags=["partner"],
        summary="A participant and their consents",
        responses={200: json_body("The participant."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer a participant."""
        only_known(request)
        return Response(_shape(participant_of(self.group_of(request), code), timezone.now()))

    @extend_schema(
        operation_id="register_participant",
        tags=["partner"],
        summary="Register a participant, and add answers about consent",
        description=(
            "Fields that are left out stay as they are. Each answer that says something new is "
            "added to the history, and its receipt stands in this answer: hand it on. A stricter "
            "answer takes effect at once on every open page and file."
        ),
        request=ParticipantIn,
        responses={
            200: json_body("The participant, with receipts for the answers that were added."),
            **problems(400, 401, 403, 415, 422, 429),
        },
    )
    def put(self, request: Request, code: str) -> Response:
        """Register a participant, or add answers to their consent history.

        Raises
        ------
        Problem
            If the code or the body has an error.
        """
        if not re.fullmatch(CODE, code):
            wrong = "parameter-wrong"
            raise Problem(wrong, f"A participant's code looks like {CODE}.", received=code[:80])
        only_known(request)
        invalid, now = "invalid-records", timezone.now()
        sent, faults = read_shape(ParticipantIn, json_object(request))
        faults = faults if sent is None else _further_faults(sent, now)
        if sent is None or faults:
            raise Problem(invalid, **documented(faults))
        try:
            participant, added = _store(self.group_of(request), code, sent, now)
        except _FaultyAnswerError as error:
            raise Problem(invalid, **documented([error.fault])) from error
        receipts = [receipt_of(consent) for consent in added]
        told = _shape(participant, now) | {"receipts": receipts}
        return Response(told | {"warnings": _warnings(participant, now)})


class ParticipantWithdrawalView(PartnerView):
    """Ending a participant's consent."""

    scopes: ClassVar[dict[str, str]] = {"POST": "withdraw"}

    @extend_schema(
        operation_id="withdraw_participant",
        tags=["partner"],
        summary="End a participant's consent and take all their records out, at once",
        request={
            "application/json": {
                "type": "object",
                "properties": {
                    "reason_class": {},
                    "asked_by": {
                        "type": "string",
                        "enum": [*ConsentGiver.values],
                        "default": str(ConsentGiver.SELF),
                        "description": "Whose no it is: the person's own, or a guardian's.",
                    },
                },
            }
        },
        responses={
            200: json_body("The participant."),
            **problems(400, 401, 403, 404, 415, 429),
        },
    )
    def post(self, request: Request, code: str) -> Response:
        """Withdraw a participant's records from every release."""
        participant = participant_of(self.group_of(request), code)
        now = timezone.now()
        withdrawn = withdraw_participant(
            participant=participant,
            reason_class=read_reason_class(request),
            at=now,
            by=f"group {participant.group.code}",
            asked_by=giver_named(request, "asked_by"),
        )
        return Response(_shape(participant, now) | {"public_records_withdrawn": withdrawn})


def giver_named(request: Request, name: str) -> ConsentGiver:
    """Return who acts by a member of the body: the person, unless it says a guardian.

    Raises
    ------
    Problem
        If it is nobody who may.
    """
    sent = json_object(request).get(name, ConsentGiver.SELF)
    if sent not in ConsentGiver.values:
        code = "parameter-wrong"
        raise Problem(
            code,
            f"Send {name}: {' or '.join(ConsentGiver.values)}.",
            parameter=name,
            received=str(sent)[:80],
            allowed=[*ConsentGiver.values],
        )
    return ConsentGiver(sent)


class _FaultyAnswerError(Exception):
    """An answer can't count, so that nothing of the request is stored."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.message)
        self.fault = fault


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


@transaction.atomic
def _store(
    group: Group, code: str, sent: ParticipantIn, now: datetime
) -> tuple[Participant, list[Consent]]:
    """Store all or nothing; returns the participant and the answers that said something new.

    Raises
    ------
    _FaultyAnswerError
        If a yes can't count.
    """
    hold_feed()
    participant = register_participant(group=group, code=code, household=sent.household, at=now)
    facts = {name: getattr(sent, name) for name in DESCRIBED if name in sent.model_fields_set}
    describe_participant(participant=participant, at=now, **facts)
    if _lacks_name(participant, sent):
        raise _FaultyAnswerError(_fault("/shown_name", "name-missing", "There is no name to show."))
    said = [one.read() for one in sent.consents]
    new = [answer for answer in said if not _is_said_already(participant, answer, now)]
    try:
        added = take_answers(participant=participant, answers=new, at=now, by=f"group {group.code}")
    except AnswerNotTaken as error:
        place = [replace(one, answered_at=None) for one in said].index(_as_answer(error.consent))
        where = f"/consents/{place}/{error.field}"
        raise _FaultyAnswerError(_fault(where, error.code, str(error))) from error
    return participant, added


def _is_said_already(participant: Participant, answer: Answer, now: datetime) -> bool:
    last = (
        participant.consents.latest_at(answer.answered_at or now)
        .filter(purpose=answer.purpose, given_by=answer.given_by, giver=answer.how.giver)
        .first()
    )
    return last is not None and replace(answer, answered_at=None) == _as_answer(last)


def _as_answer(consent: Consent) -> Answer:
    return Answer(
        purpose=consent.purpose,
        decision=consent.decision,
        given_by=consent.given_by,
        statement_version=consent.statement_version,
        ends_on=consent.ends_on,
        how=HowAnswered(consent.giver, consent.language, consent.evidence, consent.evidence_ref),
    )


def _further_faults(sent: ParticipantIn, now: datetime) -> list[Fault]:
    """Return what the shape alone can't tell."""
    faults = [
        _fault(f"/consents/{index}/answered_at", "answer-in-future", "The answer is not given yet.")
        for index, answer in enumerate(sent.consents)
        if answer.answered_at is not None and answer.answered_at > now
    ]
    faults += [
        _fault(f"/consents/{index}/giver", "value-not-allowed", "Only guardians have such a word.")
        for index, answer in enumerate(sent.consents)
        if answer.giver and answer.given_by != ConsentGiver.GUARDIAN
    ]
    if sent.born_on and sent.of_age_by:
        faults.append(_fault("/of_age_by", "age-two-ways", "There is a birthday already."))
    if sent.orcid and not is_orcid(sent.orcid):
        faults.append(_fault("/orcid", "orcid-wrong", "This is no ORCID iD."))
    return faults


def _lacks_name(participant: Participant, sent: ParticipantIn) -> bool:
    yes = (ConsentPurpose.BE_NAMED, ConsentDecision.GIVEN)
    asked = any((one.purpose, one.decision) == yes for one in sent.consents)
    return asked and not participant.shown_name


def _fault(pointer: str, code: str, message: str) -> Fault:
    return Fault(pointer=pointer, code=code, severity="error", message=message)


def _warnings(participant: Participant, now: datetime) -> list[str]:
    named = purposes_in_force(participant, now)[ConsentPurpose.BE_NAMED]
    gardens = participant.sites.filter(place_kind="private_garden")
    return [NAMED_AT_HOME] if named and gardens.exists() else []


def _shape(participant: Participant, now: datetime) -> dict[str, Any]:
    return {
        "code": participant.code,
        "household": participant.household,
        "born_on": participant.born_on,
        "of_age_by": participant.of_age_by,
        "shown_name": participant.shown_name,
        "orcid": participant.orcid,
        "in_force": purposes_in_force(participant, now),
        "consents": [consent_shape(consent) for consent in participant.consents.order_by("id")],
    }
