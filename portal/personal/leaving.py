"""What a participant can do by their link: take back one record, or all, or be erased."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from portal.personal.records import may_publish
from portal.publication.erasure import ErasurePolicy, erase_participant
from portal.publication.withdrawal import ReasonClass, withdraw_participant, withdraw_visits
from portal.records.operations import hold_feed
from surveys.people.links import use_up
from surveys.people.models import ConsentEvidence, ConsentGiver, Participant, PersonalLink
from surveys.people.operations import HowAnswered
from surveys.visits.models import VisitState

REASON = ReasonClass.CONSENT_WITHDRAWN
ONLINE = HowAnswered(evidence=ConsentEvidence.ONLINE_PAGE)


@transaction.atomic
def withdraw_one(*, link: PersonalLink, reference: str, at: datetime) -> None:
    """Take one record out; doing it again does nothing."""
    held = _held(link)
    standing = held.participant.visits.exclude(state=VisitState.WITHDRAWN)
    # Compared here: whatever a form sends is then no question that a database might choke on.
    visits = [one for one in standing.select_related("group") if one.client_ref == reference]
    if visits and held.used_at is None:
        withdraw_visits(visits=visits, reason_class=REASON, at=at, by=actor_of(held))


@transaction.atomic
def withdraw_everything(*, link: PersonalLink, at: datetime) -> None:
    """Take all records out and end the consent to publish; the link only shows from then on."""
    held = _held(link)
    participant = held.participant
    standing = participant.visits.exclude(state=VisitState.WITHDRAWN)
    something_to_end = standing.exists() or may_publish(participant, at=at)
    if something_to_end and held.used_at is None:
        withdraw_participant(
            participant=participant,
            reason_class=REASON,
            at=at,
            by=actor_of(held),
            asked_by=ConsentGiver(held.held_by),
            how=ONLINE,
        )
        use_up(link=held, at=at)


@transaction.atomic
def erase(*, link: PersonalLink, at: datetime) -> None:
    """Erase the person, and the link with them.

    Raises
    ------
    PersonalLink.DoesNotExist
        If another request has just done so.
    """
    held = _held(link)
    erase_participant(
        participant=held.participant,
        policy=ErasurePolicy(settings.ERASURE),
        at=at,
        by=actor_of(held),
        asked_by=ConsentGiver(held.held_by),
        how=ONLINE,
    )


def _held(link: PersonalLink) -> PersonalLink:
    """Return the link as it is now, while no other withdrawal and no new link is under way.

    Raises
    ------
    PersonalLink.DoesNotExist
        If the person was erased a moment ago.
    """
    hold_feed()
    Participant.objects.select_for_update(no_key=True).filter(pk=link.participant_id).first()
    return PersonalLink.objects.select_related("participant__group").get(pk=link.pk)


def actor_of(link: PersonalLink) -> str:
    """Return who acts by a link, as the trail names them."""
    whose = "guardian of" if link.held_by == ConsentGiver.GUARDIAN else "participant"
    return f"{whose} {link.participant.group.code}/{link.participant.code}"
