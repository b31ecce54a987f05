"""Questions about stored visits: their facts, and what surrounds them."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db.models import F, Q, Sum

from surveys.people.models import Group, Participant
from surveys.protocol.definition import Protocol
from surveys.sites.models import Site
from surveys.visits.facts import Box, Surroundings, VisitFacts
from surveys.visits.models import Pit, Visit, VisitState

EARLIER_PITS = 200
# Two devices rarely give the same position to all digits; a copied default does.
NEAR_DEG = Decimal("0.0005")


def surroundings(
    *,
    facts: VisitFacts,
    group: Group,
    participant: Participant,
    protocol: Protocol,
    received_on: date,
) -> Surroundings:
    """Return what the checks may know beside the visit itself."""
    meeting = (group.meeting_latitude, group.meeting_longitude)
    return Surroundings(
        protocol=protocol,
        received_on=received_on,
        region=Box(group.west, group.south, group.east, group.north),
        meeting_point=None
        if meeting[0] is None or meeting[1] is None
        else (meeting[0], meeting[1]),
        roster_names=_roster_names(group),
        known_codes=_known_codes(group),
        twins=_twins(facts, group),
        others_at_position=_others_at_position(facts, participant),
        earlier_totals=_earlier_totals(facts, protocol),
    )


def _roster_names(group: Group) -> tuple[str, ...]:
    return tuple(group.participants.exclude(name="").values_list("name", flat=True))


def _known_codes(group: Group) -> tuple[str, ...]:
    people = group.participants.values_list("code", "household")
    sites = group.sites.values_list("code", flat=True)
    return (group.name, *(code for codes in people for code in codes), *sites)


def _twins(facts: VisitFacts, group: Group) -> tuple[str, ...]:
    """Return the group's visits near the same place on the same day that found the same numbers.

    Other groups are not looked at: day and numbers are published, so whoever may send could find
    the place of a published visit by guessing until the check speaks.
    """
    near = group.visits.filter(
        visited_on=facts.visited_on,
        site__latitude__range=(facts.latitude - NEAR_DEG, facts.latitude + NEAR_DEG),
        site__longitude__range=(facts.longitude - NEAR_DEG, facts.longitude + NEAR_DEG),
    ).exclude(Q(client_ref=facts.client_ref) | Q(state=VisitState.WITHDRAWN))
    found = [pit.found() for pit in facts.pits]
    return tuple(visit.client_ref for visit in near if _found(visit) == found)


def visits_alike(visit: Visit) -> list[Visit]:
    """Return visits of any group near the same place on the same day that found the same numbers.

    Only reviewers may learn of them: see ``_twins``.
    """
    if visit.group.practice_of_id is not None:
        return []
    place = visit.site
    near = Visit.objects.filter(
        visited_on=visit.visited_on,
        site__latitude__range=(place.latitude - NEAR_DEG, place.latitude + NEAR_DEG),
        site__longitude__range=(place.longitude - NEAR_DEG, place.longitude + NEAR_DEG),
        group__practice_of__isnull=True,
    ).exclude(Q(pk=visit.pk) | Q(state__in=[VisitState.WITHDRAWN, VisitState.DECLINED]))
    found = _found(visit)
    return [other for other in near.order_by("pk") if _found(other) == found]


def _found(visit: Visit) -> list[int]:
    totals = visit.current_pits().annotate(found=Sum("phases__counts__number"))
    return [pit.found or 0 for pit in totals]


def _others_at_position(facts: VisitFacts, participant: Participant) -> int:
    """Count the group's other people at a position; other groups' places stay untold."""
    return (
        Site.objects.filter(
            group=participant.group, latitude=facts.latitude, longitude=facts.longitude
        )
        .exclude(owner=participant)
        .values("owner")
        .distinct()
        .count()
    )


def _earlier_totals(facts: VisitFacts, protocol: Protocol) -> tuple[int, ...]:
    """Return what accepted pits of the same kit, season and habitats held, newest first."""
    totals = (
        Pit.objects.filter(
            revision=F("visit__revision"),
            visit__state=VisitState.ACCEPTED,
            visit__group__practice_of__isnull=True,
            visit__protocol__key=protocol.key,
            visit__visited_on__month__in=_season(facts.visited_on.month),
            habitat__in={pit.habitat for pit in facts.pits},
        )
        .exclude(visit__client_ref=facts.client_ref, visit__group__code=facts.group_code)
        .annotate(found=Sum("phases__counts__number"))
        .filter(found__isnull=False)
        .order_by("-id")
        .values_list("found", flat=True)
    )
    return tuple(totals[:EARLIER_PITS])


def _season(month: int) -> Sequence[int]:
    half_year = (3, 4, 5, 6, 7, 8)
    return half_year if month in half_year else (9, 10, 11, 12, 1, 2)
