"""Private facts that nobody outside may feel: each is changed in one of two tellings."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db.models import F

from surveys.people.models import Group, Participant
from surveys.sites.models import Site
from surveys.visits.models import Pit, Visit
from tests.factories.private import NOW as RECEIVED_AT
from tests.factories.private import AppealFactory, ReviewFactory, SubmissionFactory

IN_GARDEN_CELL, IN_SCHOOL_CELL = Decimal("52.88"), Decimal("52.7")
LAST_STEP = Decimal("0.0000001")


def move_within_the_cell() -> None:
    """Move gardens to the south-western corner of their cell, the school to the opposite one."""
    for site in Site.objects.all():
        if site.place_kind == "school_ground":
            site.latitude, site.longitude = Decimal("52.7999999"), Decimal("-0.7000001")
        else:
            site.latitude, site.longitude = IN_GARDEN_CELL, Decimal("-0.7300000")
        site.save()


def measure_less_well() -> None:
    """Record other errors of the device, all within what the level allows for."""
    for number, site in enumerate(Site.objects.all()):
        Site.objects.filter(pk=site.pk).update(
            uncertainty_m=(3, 30, 90)[number % 3], placed_by_hand=True
        )


def name_people() -> None:
    """Give everybody name, contact and birthday (all of age)."""
    for person in Participant.objects.all():
        Participant.objects.filter(pk=person.pk).update(
            name=f"Mara Quill {person.pk}",
            contact="mara@example.org",
            shown_name=f"M. Q. {person.pk}",
            born_on="1971-05-04",
        )


def rename_people() -> None:
    """Give every person and household another code."""
    for person in Participant.objects.all():
        Participant.objects.filter(pk=person.pk).update(
            code=f"R{person.pk}", household=f"Rook Lane {person.pk}"
        )


def move_the_group() -> None:
    """Give the group another region and a place to meet."""
    Group.objects.update(
        west=Decimal("-0.8"), meeting_latitude=Decimal("52.88"), meeting_longitude=Decimal("-0.72")
    )


def write_notes() -> None:
    """Write notes that nobody has cleared."""
    Visit.objects.update(note="Gate code 4711, ask for Mara. 52.8812345, -0.7234567")


def send_at_other_times() -> None:
    """Let visits come in at other times, in another order."""
    for number, visit in enumerate(Visit.objects.order_by("-id")):
        visit.received_at = visit.sent_at = RECEIVED_AT + timedelta(days=number, minutes=7)
        visit.save()


def place_pits_exactly() -> None:
    """Give each pit a position of its own."""
    Pit.objects.update(latitude=Decimal("52.8855555"), longitude=Decimal("-0.7255555"))


def dig_on_another_day_at_school() -> None:
    """Move the school's day within the month that is published."""
    Visit.objects.filter(site__place_kind="school_ground").update(visited_on="2025-04-28")


def talk_about_it() -> None:
    """Review, appeal and keep a batch word for word."""
    for visit in Visit.objects.all():
        made = ReviewFactory.create(visit=visit, message="Is this Mara's garden?")
        AppealFactory.create(against=made, text="It is her neighbour's.")
    SubmissionFactory.create(group=Group.objects.get(), body=b"kept word for word")


def sum_up_as_the_recorder() -> None:
    """Let the recorders' own sums be right or wrong: they are for the checks only."""
    Pit.objects.update(total=F("number") * 3)


Change = Callable[[], Any]
FACTS: dict[str, Change] = {
    change.__name__: change
    for change in (
        move_within_the_cell,
        measure_less_well,
        name_people,
        rename_people,
        move_the_group,
        write_notes,
        send_at_other_times,
        place_pits_exactly,
        dig_on_another_day_at_school,
        talk_about_it,
        sum_up_as_the_recorder,
    )
}


def all_of_them() -> None:
    """Change every private fact."""
    for change in FACTS.values():
        change()
