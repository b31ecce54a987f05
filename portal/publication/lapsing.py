"""What is shown follows consent at once: stricter answers and lapsed ones hide rows everywhere.

Nothing is destroyed, unlike by a withdrawal: rows stay hidden, without a tombstone, and the first
release after consent was given anew shows them again, in its own state and in all earlier ones.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q, QuerySet

from portal.publication.eligibility import lapsed_visits, visits_to_name
from portal.publication.sight import hide, take_names_off
from portal.publication.withdrawal import settle_and_rebuild
from portal.records.models import PublishedVisit
from portal.records.operations import add_entry, hold_feed
from surveys.audit.operations import record
from surveys.people.models import (
    Consent,
    ConsentDecision,
    ConsentGiver,
    ConsentPurpose,
    Participant,
)
from surveys.people.operations import UNSAID, HowAnswered, record_consent


@dataclass(frozen=True)
class Answer:
    """What somebody said about one purpose; now, unless ``answered_at`` says when."""

    purpose: ConsentPurpose | str
    decision: ConsentDecision | str
    given_by: ConsentGiver | str
    statement_version: str
    ends_on: date | None = None
    how: HowAnswered = UNSAID
    answered_at: datetime | None = None


@transaction.atomic
def take_answers(
    *, participant: Participant, answers: Iterable[Answer], at: datetime, by: str
) -> list[Consent]:
    """Record answers about consent, and hide at once what may not be seen any longer.

    Raises
    ------
    AnswerNotTaken
        If a yes can't count; then no answer is recorded.
    """
    hold_feed()
    made = [_record(participant, answer, at) for answer in answers]
    hide_lapsed(at=at, by=by)
    return made


def _record(participant: Participant, answer: Answer, at: datetime) -> Consent:
    return record_consent(
        participant=participant,
        purpose=answer.purpose,
        decision=answer.decision,
        given_by=answer.given_by,
        statement_version=answer.statement_version,
        ends_on=answer.ends_on,
        how=answer.how,
        at=answer.answered_at or at,
    )


@transaction.atomic
def hide_lapsed(*, at: datetime, by: str) -> int:
    """Hide the rows of everybody whose consent to publication is not in force.

    Names go that may not be shown any longer. Sites left in too small a group are hidden too, and
    files are rebuilt, in one transaction.

    Returns the number of public visits hidden for lack of consent.
    """
    hold_feed()
    lapsed = _ids(PublishedVisit.objects.filter(hidden=False, id__in=lapsed_visits(at)))
    named = PublishedVisit.objects.filter(recorded_by__isnull=False)
    unnamed = _ids(named.exclude(id__in=visits_to_name(at)))
    if not lapsed and not unnamed:
        return 0
    entry = add_entry(at=at)
    spans = hide(Q(visit_id__in=lapsed), entry)
    spans |= take_names_off(Q(visit_id__in=unnamed), entry)
    settle_and_rebuild(spans, entry, at=at)
    record(
        actor=by,
        action="hidden for lack of consent",
        kind="change",
        key=str(entry.number),
        at=at,
        visits=len(lapsed),
        names=len(unnamed),
    )
    return len(lapsed)


def _ids(visits: QuerySet[Any]) -> set[UUID]:
    return set(visits.values_list("id", flat=True))
