"""What the checks may know beside a visit: its group, its twins, and earlier pits."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from surveys.people.models import Group, Participant
from surveys.protocol.definition import Protocol
from surveys.visits.facts import Box, Surroundings, VisitFacts
from surveys.visits.models import Visit
from surveys.visits.queries import surroundings
from tests.factories.private import (
    VISITED_ON,
    CountFactory,
    ParticipantFactory,
    PhaseFactory,
    PitFactory,
    SiteFactory,
    VisitFactory,
    loaded,
)
from tests.surveys.checks.visits import hand_sort, kit, pit
from tests.surveys.checks.visits import visit as facts_of

pytestmark = pytest.mark.django_db

FACTS = facts_of(
    client_ref="V-NEW",
    visited_on=VISITED_ON,
    pits=(pit(1, phases=(hand_sort(3, 0, 0, 0),)), pit(2, phases=(hand_sort(0, 4, 0, 0),))),
)


@pytest.fixture
def sender() -> Participant:
    made: Participant = ParticipantFactory.create(group__code="QVD", code="QVD-07")
    return made


def known(
    sender: Participant, facts: VisitFacts = FACTS, protocol: Protocol | None = None
) -> Surroundings:
    return surroundings(
        facts=facts,
        group=sender.group,
        participant=sender,
        protocol=protocol or kit(),
        received_on=date(2025, 4, 14),
    )


def earlier(owner: Participant, found: tuple[int, ...], **changes: Any) -> Visit:
    """Store a visit of the same day and place, with one pit for each number of animals."""
    site = SiteFactory.create(
        owner=owner,
        latitude=changes.pop("latitude", FACTS.latitude),
        longitude=changes.pop("longitude", FACTS.longitude),
    )
    habitat = changes.pop("habitat", "lawn")
    visit: Visit = VisitFactory.create(participant=owner, site=site, **changes)
    for number, animals in enumerate(found, start=1):
        add_pit(visit, number, animals, habitat=habitat)
    return visit


def add_pit(visit: Visit, number: int, animals: int, **changes: Any) -> None:
    """Store a pit whose animals came up in two steps."""
    row = PitFactory.create(visit=visit, number=number, **changes)
    CountFactory.create(phase=PhaseFactory.create(pit=row), number=animals)
    CountFactory.create(phase=PhaseFactory.create(pit=row, kind="expellant"), number=0)


def test_region_kit_and_day_are_told(sender: Participant) -> None:
    around = known(sender)

    group = sender.group
    assert around.region == Box(group.west, group.south, group.east, group.north)
    assert (around.protocol, around.received_on) == (kit(), date(2025, 4, 14))
    assert around.meeting_point is None


def test_meeting_point_is_told_latitude_first(sender: Participant) -> None:
    point = (Decimal("52.70123"), Decimal("-0.48231"))
    Group.objects.update(meeting_latitude=point[0], meeting_longitude=point[1])
    sender.group.refresh_from_db()

    assert known(sender).meeting_point == point


def test_roster_names_are_those_of_the_group(sender: Participant) -> None:
    for name in ("Tamsin Oddwell", ""):
        ParticipantFactory.create(group=sender.group, name=name)
    ParticipantFactory.create(name="Rose Field")

    assert known(sender).roster_names == ("Tamsin Oddwell",)


def test_codes_are_those_of_the_group(sender: Participant) -> None:
    SiteFactory.create(owner=sender, code="GATE-1")
    ParticipantFactory.create(group=sender.group, code="QVD-08", household="Thornbury")
    SiteFactory.create(code="OTHER-1")

    assert set(known(sender).known_codes) == {
        sender.group.name, "QVD-07", sender.household, "QVD-08", "Thornbury", "GATE-1",
    }  # fmt: skip


NEAR, FAR = Decimal("0.0005"), Decimal("0.0006")


@pytest.mark.parametrize(
    ("found", "changes", "twins"),
    [
        ((3, 4), {}, ("V-OLD",)),
        ((3, 4), {"state": "declined"}, ("V-OLD",)),
        (
            (3, 4),
            {"latitude": FACTS.latitude + NEAR, "longitude": FACTS.longitude - NEAR},
            ("V-OLD",),
        ),
        ((3, 4), {"latitude": FACTS.latitude + FAR}, ()),
        ((3, 4), {"longitude": FACTS.longitude - FAR}, ()),
        ((3, 4), {"visited_on": date(2025, 4, 13)}, ()),
        ((3, 4), {"state": "withdrawn"}, ()),
        ((3, 4), {"client_ref": "V-NEW"}, ()),
        ((4, 3), {}, ()),
        ((3,), {}, ()),
        ((3, 4, 0), {}, ()),
    ],
    ids=[
        "same",
        "same, declined",
        "near",
        "far north",
        "far west",
        "next day",
        "withdrawn",
        "itself",
        "other order",
        "fewer pits",
        "more pits",
    ],
)
def test_twin_has_the_same_place_day_and_numbers(
    sender: Participant, found: tuple[int, ...], changes: dict[str, Any], twins: tuple[str, ...]
) -> None:
    earlier(sender, found, **{"client_ref": "V-OLD"} | changes)

    assert known(sender).twins == twins


def test_twin_is_compared_by_its_newest_revision(sender: Participant) -> None:
    visit = earlier(sender, (3, 4), client_ref="V-OLD")
    Visit.objects.filter(pk=visit.pk).update(revision=2)
    visit.refresh_from_db()

    add_pit(visit, 1, 5)

    assert known(sender).twins == ()


def test_visits_of_other_groups_are_not_looked_at(sender: Participant) -> None:
    """Else a sender could find another group's place by guessing."""
    earlier(ParticipantFactory.create(), (3, 4), client_ref="V-NEW")

    assert known(sender).twins == ()


def test_others_at_the_position_are_people_not_sites(sender: Participant) -> None:
    neighbour, cousin = ParticipantFactory.create_batch(2, group=sender.group)
    of_another_group = ParticipantFactory.create()
    place = {"latitude": FACTS.latitude, "longitude": FACTS.longitude}
    for owner in (sender, neighbour, neighbour, cousin, of_another_group):
        SiteFactory.create(owner=owner, **place)
    SiteFactory.create(latitude=FACTS.latitude + Decimal("0.0000001"))

    assert known(sender).others_at_position == 2


@pytest.mark.parametrize(
    ("changes", "totals"),
    [
        ({}, (6,)),
        ({"visited_on": date(2025, 8, 31)}, (6,)),
        ({"visited_on": date(2024, 3, 1)}, (6,)),
        ({"visited_on": date(2025, 9, 1)}, ()),
        ({"visited_on": date(2025, 2, 28)}, ()),
        ({"state": "in_review"}, ()),
        ({"state": "withdrawn"}, ()),
        ({"habitat": "crop field"}, ()),
        ({"client_ref": "V-NEW"}, ()),
    ],
    ids=str,
)
def test_earlier_totals_are_of_accepted_pits_of_kit_season_and_habitat(
    sender: Participant, changes: dict[str, Any], totals: tuple[int, ...]
) -> None:
    earlier(sender, (6,), **{"state": "accepted"} | changes)

    assert known(sender).earlier_totals == totals


def test_autumn_and_winter_are_one_season(sender: Participant) -> None:
    for visited_on in (date(2024, 9, 1), date(2025, 2, 28), date(2025, 3, 1)):
        earlier(sender, (visited_on.month,), visited_on=visited_on, state="accepted")

    around = known(sender, replace(FACTS, visited_on=date(2025, 11, 5)))

    assert around.earlier_totals == (2, 9)


def test_earlier_totals_join_versions_of_a_kit_but_not_kits(sender: Participant) -> None:
    for number, name in enumerate(("contrast-pit/1", "contrast-pit/2", "school-pit/1"), start=1):
        earlier(sender, (number,), state="accepted", protocol=loaded(name))

    assert known(sender).earlier_totals == (2, 1)
    assert known(sender, protocol=kit("school-pit/1")).earlier_totals == (3,)


def test_earlier_totals_leave_out_uncounted_pits_and_old_revisions(sender: Participant) -> None:
    visit = earlier(sender, (6, 0), state="accepted")
    PitFactory.create(visit=visit, number=3)
    add_pit(visit, 1, 99, revision=2)

    assert known(sender).earlier_totals == (0, 6)


def test_another_group_may_have_used_the_same_reference(sender: Participant) -> None:
    earlier(ParticipantFactory.create(), (6,), state="accepted", client_ref="V-NEW")

    assert known(sender).earlier_totals == (6,)


def test_earlier_totals_are_the_newest_two_hundred(sender: Participant) -> None:
    visit = earlier(sender, (), state="accepted")
    for number in range(1, 203):
        row = PitFactory.create(visit=visit, number=number)
        CountFactory.create(phase=PhaseFactory.create(pit=row), number=number)

    assert known(sender).earlier_totals == tuple(range(202, 2, -1))
