"""Erasure: a person's records leave every release, then the person leaves the closed store.

What becomes of the science is policy, ``DRILOSPHERE_ERASURE``. Tombstones stay, which name nobody,
and so does the trail: it is never changed, and knows people by their group's code alone.
"""

from datetime import datetime
from enum import StrEnum

from django.db import transaction

from portal.publication.unlinking import remove_rows, unlink_rows
from portal.publication.withdrawal import ReasonClass, withdraw_participant
from portal.records.operations import hold_feed
from surveys.audit.operations import record
from surveys.intake.forgetting import forget_sent
from surveys.people.models import ConsentGiver, Participant
from surveys.people.operations import UNSAID, HowAnswered


class ErasurePolicy(StrEnum):
    """What becomes of the science of an erased person."""

    UNLINK = "unlink"
    REMOVE = "remove"


_WAYS = {ErasurePolicy.UNLINK: unlink_rows, ErasurePolicy.REMOVE: remove_rows}


@transaction.atomic
def erase_participant(
    *,
    participant: Participant,
    policy: ErasurePolicy,
    at: datetime,
    by: str,
    asked_by: ConsentGiver = ConsentGiver.SELF,
    how: HowAnswered = UNSAID,
) -> int:
    """Take a person's records out of every release, and the person out of the closed store.

    Returns the number of public records withdrawn.
    """
    hold_feed()
    key = f"{participant.group.code}/{participant.code}"
    withdrawn = withdraw_participant(  # removes the photos too, which hold their consent fast
        participant=participant,
        reason_class=ReasonClass.ERASURE,
        at=at,
        by=by,
        asked_by=asked_by,
        how=how,
    )
    forget_sent(participant)
    _WAYS[policy](participant)
    record(
        actor=by,
        action="participant erased",
        kind="participant",
        key=key,
        at=at,
        policy=policy.value,
    )
    return withdrawn
