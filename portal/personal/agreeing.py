"""What a participant has agreed to, purpose by purpose, and taking one of them back."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from portal.personal.leaving import ONLINE, actor_of
from portal.publication.lapsing import Answer, take_answers
from portal.records.operations import hold_feed
from surveys.people.models import (
    Consent,
    ConsentDecision,
    ConsentPurpose,
    PersonalLink,
)
from surveys.people.receipts import Receipt, receipt_of

ACTIONS: dict[str, str] = {
    ConsentPurpose.PUBLISH: "Stop publishing",
    ConsentPurpose.BE_NAMED: "Take my name off",
    ConsentPurpose.PHOTOS: "No photos",
    ConsentPurpose.EXACT_PLACE: "No exact places for researchers",
    ConsentPurpose.CONTACT: "Do not write to me",
}
EFFECTS: dict[str, str] = {
    ConsentPurpose.PUBLISH: "Your records are hidden at once on every page, in every answer and "
    "file, in the newest release and all earlier ones. They can come back with a later release "
    "if you agree again. To take them out for good, take everything back instead.",
    ConsentPurpose.BE_NAMED: "Your name goes at once from every page, answer and file, in the "
    "newest release and all earlier ones. Your records stay, without it.",
    ConsentPurpose.PHOTOS: "You no longer agree that we keep and show your photos. Your records "
    "stay.",
    ConsentPurpose.EXACT_PLACE: "No researcher is shown your exact places any longer. Your records "
    "stay, with their squares of the map.",
    ConsentPurpose.CONTACT: "We no longer write to you. Your records stay.",
}


@dataclass(frozen=True)
class Agreement:
    """One purpose as its participant sees it."""

    purpose: str
    label: str
    action: str
    effect: str
    holds: bool
    may_end: bool


def agreements_of(link: PersonalLink, *, at: datetime) -> list[Agreement]:
    """Return of every purpose whether it holds now and can be ended by the link."""
    own = link.participant.consents.latest_at(at).filter(given_by=link.held_by)
    said_yes = set(own.filter(decision=ConsentDecision.GIVEN).values_list("purpose", flat=True))
    agreements = []
    for purpose in ConsentPurpose:
        held = Consent.objects.in_force(purpose, at).filter(participant=link.participant)
        holds = held.exists()
        agreements.append(
            Agreement(
                purpose=purpose.value,
                label=purpose.label,
                action=ACTIONS[purpose],
                effect=EFFECTS[purpose],
                holds=holds,
                may_end=link.used_at is None and (holds or purpose in said_yes),
            )
        )
    return agreements


def agreement_of(link: PersonalLink, purpose: str, *, at: datetime) -> Agreement | None:
    """Return a purpose that can be ended by the link, or nothing."""
    found = (one for one in agreements_of(link, at=at) if one.purpose == purpose and one.may_end)
    return next(found, None)


@transaction.atomic
def take_back(*, link: PersonalLink, purpose: str, at: datetime) -> None:
    """End one consent by the no of the link's holder; doing it again does nothing."""
    hold_feed()
    held = PersonalLink.objects.select_related("participant__group").get(pk=link.pk)
    if agreement_of(held, purpose, at=at) is None:
        return
    person = held.participant
    no = Answer(
        purpose=purpose,
        decision=ConsentDecision.WITHDRAWN,
        given_by=held.held_by,
        statement_version="",
        how=ONLINE,
    )
    take_answers(participant=person, answers=[no], at=at, by=actor_of(held))


def receipts_for(link: PersonalLink) -> list[Receipt]:
    """Return the receipts of everything that was answered, oldest first."""
    answers = link.participant.consents.select_related("participant__group").order_by("id")
    return [receipt_of(one) for one in answers if one.receipt_salt]
