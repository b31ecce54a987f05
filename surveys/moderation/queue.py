"""What waits for a reviewer: by doubt, then value, then age.

*Doubt* is the weight of the checks that failed on the newest revision, by what the policy makes of
each, and of possible doubles that nobody has judged. *Value* has a point for the first visit of its
surroundings and one for a taxon that few accepted visits have. *Age* runs from the day on which the
newest revision came.
"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
)
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from surveys.checks.models import CheckOutcome, DoublePair
from surveys.checks.policy import Action, labels_of
from surveys.checks.response import FAULTS, PROPOSALS
from surveys.moderation.models import Review, ReviewClaim, Standing
from surveys.people.models import Reviewer
from surveys.visits.models import Count as Line
from surveys.visits.models import Visit, VisitState

# Points of doubt by what follows from a finding (project judgement).
WEIGHTS: dict[Action, int] = {"block": 5, "hold": 3, "propose": 2, "note": 1}
DOUBLE_WEIGHT = 3
# Half of the edge of a square about a site [decimal degrees]: about 5 km to the north and south.
SURROUNDINGS_DEG = Decimal("0.05")
RARE_BELOW = 5  # accepted visits that have the taxon


@dataclass(frozen=True)
class Place:
    """A place in the queue: what the rows behind it are compared with."""

    doubt: int
    value: int
    received_at: datetime
    visit_id: int


def waiting_for(reviewer: Reviewer, at: datetime) -> QuerySet[Visit, Any]:
    """Return what a reviewer may decide on at an instant, in the order of the queue."""
    if not reviewer.active:
        return Visit.objects.none()
    waiting = Visit.objects.filter(state=VisitState.IN_REVIEW, group__practice_of__isnull=True)
    own = reviewer.participant
    if own is not None:
        waiting = waiting.exclude(
            participant__group=own.group_id, participant__household=own.household
        )
    return (
        waiting.exclude(Exists(_looked_at(reviewer)))
        .exclude(Exists(_claimed_by_others(reviewer, at)))
        .annotate(doubt=_doubt(), value=_value())
        .select_related("group", "participant", "site", "protocol")
        .order_by("-doubt", "-value", "received_at", "id")
    )


def behind(waiting: QuerySet[Visit, Any], place: Place) -> QuerySet[Visit, Any]:
    """Keep what stands behind a place of the queue."""
    later = Q(received_at__gt=place.received_at) | Q(
        received_at=place.received_at, id__gt=place.visit_id
    )
    less_value = Q(value__lt=place.value) | Q(later, value=place.value)
    return waiting.filter(Q(doubt__lt=place.doubt) | Q(less_value, doubt=place.doubt))


def _looked_at(reviewer: Reviewer) -> QuerySet[Review]:
    """Return a reviewer's opinions that keep them from a visit."""
    own = Review.objects.filter(visit=OuterRef("pk"), reviewer=reviewer)
    return own.filter(
        Q(standing=Standing.HELD, revision=OuterRef("revision"))
        | Q(visit__appeals__against__round=F("round"))
    )


def _claimed_by_others(reviewer: Reviewer, at: datetime) -> QuerySet[ReviewClaim]:
    claims = ReviewClaim.objects.filter(visit=OuterRef("pk"), expires_at__gt=at)
    return claims.exclude(reviewer=reviewer)


def _doubt() -> Combinable:
    failed = CheckOutcome.objects.filter(
        Q(status__in=PROPOSALS) | Q(result__in=FAULTS),
        visit=OuterRef("pk"),
        revision=OuterRef("revision"),
        superseded_at__isnull=True,
    )
    weight = Case(
        *(When(label__in=labels_of(action), then=points) for action, points in WEIGHTS.items()),
        default=0,
    )
    total = failed.order_by().values("visit").annotate(total=Sum(weight)).values("total")
    unjudged = DoublePair.objects.filter(
        Q(first=OuterRef("pk")) | Q(second=OuterRef("pk")), verdict=""
    )
    double = Case(
        When(Exists(unjudged), then=DOUBLE_WEIGHT), default=0, output_field=IntegerField()
    )
    return Coalesce(Subquery(total, output_field=IntegerField()), 0) + double


def _value() -> Combinable:
    nearby = Visit.objects.filter(
        state=VisitState.ACCEPTED,
        site__latitude__range=_about("site__latitude"),
        site__longitude__range=_about("site__longitude"),
    ).exclude(pk=OuterRef("pk"))
    rare = Line.objects.filter(
        phase__pit__visit=OuterRef("pk"),
        phase__pit__revision=OuterRef("revision"),
        number__gt=0,
    ).exclude(taxon__in=["", *_common_taxa()])
    first = Case(When(~Exists(nearby), then=1), default=0, output_field=IntegerField())
    return first + Case(When(Exists(rare), then=1), default=0, output_field=IntegerField())


def _about(axis: str) -> tuple[Combinable, Combinable]:
    half = Value(SURROUNDINGS_DEG)
    return OuterRef(axis) - half, OuterRef(axis) + half


def _common_taxa() -> list[str]:
    found = Line.objects.filter(
        phase__pit__visit__state=VisitState.ACCEPTED,
        phase__pit__revision=F("phase__pit__visit__revision"),
        number__gt=0,
    ).exclude(taxon="")
    visits = found.values("taxon").annotate(n=Count("phase__pit__visit", distinct=True))
    return list(visits.filter(n__gte=RARE_BELOW).values_list("taxon", flat=True))
