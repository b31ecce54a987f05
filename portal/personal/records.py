"""A participant's records in plain words: what, when, where they stand and where they went."""

from dataclasses import dataclass
from datetime import date, datetime

from django.conf import settings
from django.db.models import F, Prefetch
from django.utils.dateformat import format as written

from portal.personal.published import PublicLife, public_lives
from portal.personal.receipts import Receipts
from portal.publication.withdrawal import ReasonClass
from surveys.people.models import Consent, ConsentPurpose, Participant
from surveys.visits.models import Pit, Visit, VisitState

WAITING_WORDS: dict[str, str] = {
    VisitState.IN_REVIEW: "With us, waiting for a reviewer. Not published.",
    VisitState.ASKED_BACK: "With us. Your group has a question to answer about it. Not published.",
    VisitState.DECLINED: "With us, but not taken up for publication.",
}
MAY_COME = "With us and checked. It can come into the next release."
NO_CONSENT = "With us and checked. Not published, as there is no consent to publish it."
NEVER_OUT = "Withdrawn. It was never published."
WHY: dict[str, str] = {
    ReasonClass.CONSENT_WITHDRAWN: "as consent was withdrawn",
    ReasonClass.ERASURE: "as it was to be erased",
    ReasonClass.SENDER_ERROR: "as your group found an error in it",
    ReasonClass.DOUBLE: "as it was sent twice",
    ReasonClass.PLACE_PROTECTED: "as its place had to be protected better",
}
LAPSED = "Published, but hidden at the moment: there is no consent to publish it."
HELD_BACK = "Published, but hidden at the moment: too few households share its area."


@dataclass(frozen=True)
class OwnRecord:
    """One visit as its participant sees it."""

    reference: str
    visited_on: date
    habitats: str
    words: str
    releases: tuple[int, ...]
    address: str | None
    is_withdrawn: bool
    withdrawn_on: date | None
    receipts: Receipts | None


def own_records(participant: Participant, *, at: datetime) -> list[OwnRecord]:
    """Return a participant's records, newest first."""
    pits = Pit.objects.filter(revision=F("visit__revision")).order_by("number")
    visits = list(
        participant.visits.order_by("-visited_on", "-id").prefetch_related(
            Prefetch("pits", queryset=pits)
        )
    )
    lives = public_lives(visit.public_id for visit in visits if visit.public_id is not None)
    if_accepted = MAY_COME if may_publish(participant, at=at) else NO_CONSENT
    return [
        _own_record(visit, lives.get(visit.public_id) if visit.public_id else None, if_accepted)
        for visit in visits
    ]


def may_publish(participant: Participant, *, at: datetime) -> bool:
    """Tell whether a participant's consent to publication is in force."""
    held = Consent.objects.in_force(ConsentPurpose.PUBLISH, at)
    return held.filter(participant=participant).exists()


def _own_record(visit: Visit, life: PublicLife | None, if_accepted: str) -> OwnRecord:
    return OwnRecord(
        reference=visit.client_ref,
        visited_on=visit.visited_on,
        habitats=" and ".join(dict.fromkeys(pit.habitat for pit in visit.pits.all())),
        words=_words(visit, life, if_accepted),
        releases=life.releases if life else (),
        address=f"{settings.PUBLIC_URL}/id/visit/{visit.public_id}" if life else None,
        is_withdrawn=visit.state == VisitState.WITHDRAWN,
        withdrawn_on=life.withdrawn_on if life else None,
        receipts=life.receipts if life else None,
    )


def _words(visit: Visit, life: PublicLife | None, if_accepted: str) -> str:
    if visit.state == VisitState.WITHDRAWN:
        return _last_words(life)
    if life is None or not life.is_current:
        words = WAITING_WORDS.get(visit.state, if_accepted)
        return f"{words} Earlier releases showed it." if life else words
    if life.is_hidden:
        return HELD_BACK if if_accepted == MAY_COME else LAPSED
    return f"Published since release {life.since}."


def _last_words(life: PublicLife | None) -> str:
    if life is None or life.withdrawn_on is None:
        return NEVER_OUT
    return f"Withdrawn on {written(life.withdrawn_on, 'j F Y')}, {WHY[life.reason_class]}."
