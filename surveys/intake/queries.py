"""What a group may read of what it sent."""

from datetime import datetime
from itertools import chain, islice
from typing import Any

from django.db.models import Prefetch, Q, QuerySet
from django.db.models.functions import Substr

from surveys.audit.models import AuditEntry
from surveys.intake.models import Submission, SubmissionItem
from surveys.people.models import Group
from surveys.visits.models import Visit


def submissions_of(group: Group) -> QuerySet[Submission]:
    """Return a group's submissions, newest first, without their bytes."""
    items = SubmissionItem.objects.select_related("visit").order_by("position")
    return (
        Submission.objects.filter(group=group)
        .defer("body")
        .prefetch_related(Prefetch("items", queryset=items))
        .order_by("-id")
    )


def visits_of(
    group: Group, *, state: str | None = None, changed_since: datetime | None = None
) -> QuerySet[Visit]:
    """Return a group's visits, newest first; all, or those in a state or changed since then."""
    visits = Visit.objects.filter(group=group).select_related("protocol", "participant", "site")
    if state is not None:
        visits = visits.filter(state=state)
    if changed_since is not None:
        visits = visits.filter(
            Q(received_at__gte=changed_since) | Q(client_ref__in=_acted_on(group, changed_since))
        )
    return visits.order_by("-id")


def _acted_on(group: Group, since: datetime) -> QuerySet[AuditEntry, Any]:
    """Return the references of visits that somebody acted on, of which the trail tells."""
    start = f"{group.code}/"
    return (
        AuditEntry.objects.filter(
            subject_kind="visit", at__gte=since, subject_key__startswith=start
        )
        .annotate(client_ref=Substr("subject_key", len(start) + 1))
        .values("client_ref")
    )


def faults_of(submission: Submission, *, after: int, limit: int) -> list[dict[str, Any]]:
    """Return some of a submission's faults in the order of its visits, after so many."""
    lists = submission.items.order_by("position").values_list("faults", flat=True)
    faults = chain.from_iterable(lists.iterator(chunk_size=50))
    return list(islice(faults, after, after + limit))
