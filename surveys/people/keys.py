"""Whose answers count: the person's own when of age, else two keys, guardian and child.

Conditions for queries, so that who may be shown is always asked of the database in one statement.
``path`` leads from the row asked about to the participant, and is empty for participants.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from django.conf import settings
from django.db.models import Exists, F, Manager, OuterRef, Q
from django.db.models.expressions import CombinedExpression
from django.db.models.functions import ExtractDay, ExtractMonth, ExtractYear
from django.db.models.lookups import GreaterThanOrEqual

from surveys.people.ages import latest_birthday

YEAR, MONTH = 10_000, 100  # 12 October 2008 is 20081012: years then differ by 10 000


def day_of(at: datetime) -> date:
    """Return the day of an instant, by which ages and ends are judged."""
    return at.astimezone(UTC).date()


def under_age(at: datetime, answers: Manager[Any], path: str = "participant__") -> Q:
    """Keep those who are under age at an instant.

    Where no birthday is held, people of a group of children are, and whoever a guardian has ever
    answered for, unless the group vouches that they are of age.
    """
    day = day_of(at)
    no_birthday = Q(**{f"{path}born_on__isnull": True})
    return Q(**{f"{path}born_on__gt": _of_age_if_born_by(day)}) | no_birthday & (
        Q(**{f"{path}of_age_by__gt": day})
        | Q(**{f"{path}of_age_by__isnull": True})
        & (Q(**{f"{path}group__is_of_children": True}) | Q(_guardian_spoke(at, answers, path)))
    )


def of_age(at: datetime, answers: Manager[Any]) -> Q:
    """Keep the rows of those who are of age at an instant: everybody else than ``under_age``."""
    day = day_of(at)
    return Q(participant__born_on__lte=_of_age_if_born_by(day)) | Q(
        participant__born_on__isnull=True
    ) & (
        Q(participant__of_age_by__lte=day)
        | Q(participant__of_age_by__isnull=True, participant__group__is_of_children=False)
        & ~Q(_guardian_spoke(at, answers, "participant__"))
    )


def answered_of_age() -> Q:
    """Keep the answers that were given when the participant was of age already."""
    age_then = _as_number("decided_at") - _as_number("participant__born_on")
    return (
        Q(GreaterThanOrEqual(age_then, settings.AGE_OF_MAJORITY * YEAR))
        | Q(participant__of_age_by__lte=F("decided_at__date"))
        | Q(participant__born_on__isnull=True, participant__of_age_by__isnull=True)
    )


def _of_age_if_born_by(day: date) -> date:
    return latest_birthday(day, settings.AGE_OF_MAJORITY)


def _guardian_spoke(at: datetime, answers: Manager[Any], path: str) -> Exists:
    whose = OuterRef("participant" if path else "pk")
    return Exists(answers.filter(participant=whose, given_by="guardian", decided_at__lte=at))


def _as_number(column: str) -> CombinedExpression:
    return ExtractYear(column) * YEAR + ExtractMonth(column) * MONTH + ExtractDay(column)
