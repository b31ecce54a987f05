"""What a group may read of what it sent."""

from django.db.models import Prefetch, QuerySet

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


def visits_of(group: Group, *, state: str | None = None) -> QuerySet[Visit]:
    """Return a group's visits, newest first."""
    visits = Visit.objects.filter(group=group).select_related("protocol", "participant", "site")
    if state is not None:
        visits = visits.filter(state=state)
    return visits.order_by("-id")
