"""Which visits a release may show: accepted, with consent in force on its date."""

from datetime import datetime

from django.db.models import Prefetch, QuerySet

from surveys.people.models import Consent, ConsentPurpose
from surveys.visits.models import Phase, Visit, VisitState


def eligible_visits(at: datetime) -> QuerySet[Visit]:
    """Return accepted visits of participants who consent to publication at an instant."""
    consenting = Consent.objects.in_force(ConsentPurpose.PUBLISH, at).values("participant")
    return (
        Visit.objects.filter(state=VisitState.ACCEPTED, participant__in=consenting)
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
    consenting = Consent.objects.in_force(ConsentPurpose.PUBLISH, at).values("participant")
    return visit_ids.exclude(participant__in=consenting).count()
