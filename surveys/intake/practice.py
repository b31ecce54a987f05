"""Clear what a group practised with; real records are never touched."""

from datetime import datetime

from django.db import transaction

from surveys.audit.operations import record
from surveys.intake.models import IdempotentAnswer
from surveys.people.models import Group
from surveys.visits.models import Pit


@transaction.atomic
def clear_practice(*, group: Group, at: datetime) -> int:
    """Delete the records, places and people of a group's practice space.

    Tokens stay, so that practice can begin anew. Returns the number of visits deleted.
    """
    space = Group.objects.filter(practice_of=group).first()
    if space is None:
        return 0
    visits = space.visits.count()
    space.submissions.all().delete()
    IdempotentAnswer.objects.filter(group=space).delete()
    Pit.objects.filter(visit__group=space).delete()
    space.visits.all().delete()
    space.sites.all().delete()
    space.participants.all().delete()
    record(
        actor=f"group {group.code}",
        action="practice cleared",
        kind="group",
        key=group.code,
        at=at,
        visits=visits,
    )
    return visits
