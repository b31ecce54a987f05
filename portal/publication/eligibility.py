"""Which visits a release may show: accepted, with consent in force on its date."""

from datetime import datetime
from typing import Any

from django.db.models import Prefetch, QuerySet

from surveys.people.keys import under_age
from surveys.people.models import Consent, ConsentPurpose, Participant
from surveys.visits.models import Phase, Visit, VisitState


def eligible_visits(at: datetime) -> QuerySet[Visit]:
    """Return accepted visits of participants who consent to publication at an instant."""
    return (
        Visit.objects.filter(
            state=VisitState.ACCEPTED,
            group__practice_of__isnull=True,
            participant__in=_consenting(at),
        )
        .select_related("group", "participant", "site__owner", "protocol")
        .order_by("id")
    )


def with_parts(visits: QuerySet[Visit]) -> QuerySet[Visit]:
    """Load pits, steps, counts, determinations and soil along with visits."""
    phases = Phase.objects.prefetch_related("counts__determinations")
    return visits.prefetch_related(
        Prefetch("pits__phases", queryset=phases), "pits__soil", "reviews"
    )


def shown_without_consent(at: datetime, visit_ids: QuerySet[Visit]) -> int:
    """Count visits about to be shown whose recorder does not consent; must be zero."""
    return visit_ids.exclude(participant__in=_consenting(at)).count()


def practice_visits(visits: QuerySet[Visit]) -> int:
    """Count visits about to be shown that somebody only practised with; must be zero."""
    return visits.filter(group__practice_of__isnull=False).count()


def lapsed_visits(at: datetime) -> QuerySet[Visit, Any]:
    """Return the public ids of visits that may not be seen at an instant, for lack of consent."""
    return (
        Visit.objects.filter(public_id__isnull=False)
        .exclude(participant__in=_consenting(at))
        .values("public_id")
    )


def people_to_name(at: datetime) -> QuerySet[Participant]:
    """Return who may be named at an instant: of age, with a name to show and consent to that."""
    agreed = Consent.objects.in_force(ConsentPurpose.BE_NAMED, at).values("participant")
    minors = Participant.objects.filter(under_age(at, Consent.objects, path="")).values("pk")
    return Participant.objects.filter(pk__in=agreed).exclude(shown_name="").exclude(pk__in=minors)


def visits_to_name(at: datetime) -> QuerySet[Visit, Any]:
    """Return the public ids of visits whose recorder may be named at an instant."""
    people = people_to_name(at).values("pk")
    return Visit.objects.filter(public_id__isnull=False, participant__in=people).values("public_id")


def _consenting(at: datetime) -> QuerySet[Consent, Any]:
    return Consent.objects.in_force(ConsentPurpose.PUBLISH, at).values("participant")
