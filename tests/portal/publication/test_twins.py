"""Two databases that differ in one private fact only must give the same public bytes."""

import io
import json
import zipfile
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client

from portal.publication.placing import private_site
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, ReleaseFile
from surveys.people.models import Group, Participant
from surveys.sites.models import Site
from surveys.visits.models import Pit, Visit
from tests.api.answers import bytes_of
from tests.architecture.doors import public_addresses
from tests.factories.private import ReviewFactory, SubmissionFactory
from tests.portal.publication.villages import (
    CELL,
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

Answers = dict[str, tuple[int, bytes, dict[str, str]]]
Change = Callable[[], Any]
SCHOOL = {"place_kind": "school_ground", "latitude": "52.7412345"}
HALVINGS = 40
OF_THE_MOMENT = ("/docs", "/problems")  # each answer holds a new random token or number

pytestmark = pytest.mark.django_db


def tell(change: Change) -> None:
    """Make two releases of a village and a school; the change comes before both."""
    group = village_group(named_publicly=True)
    village(group, range(6), note="Quiet morning.")
    household(group, 7, site=SCHOOL)
    change()
    release(1, mint=fixed_mint)
    Visit.objects.filter(client_ref="V01").update(people_digging=5)
    release(2, mint=fixed_mint)


def twin(change: Change, ask: Callable[[], Answers]) -> Answers:
    """Tell the story, ask, and forget it all."""
    cache.clear()
    with transaction.atomic():
        tell(change)
        answers = ask()
        transaction.set_rollback(True)
    return answers


def everything_public() -> Answers:
    """Ask every public address that succeeds, and read every file of every build."""
    visit = PublishedVisit.objects.at(2).order_by("id")[0]
    pit = PublishedPit.objects.filter(visit_id=visit.id).order_by("id")[0]
    count = PublishedCount.objects.filter(pit_id=pit.id).order_by("id")[0]
    ids = {
        "visit": str(visit.id),
        "site": str(visit.site_id),
        "pit": str(pit.id),
        "count": str(count.id),
        "phase": str(count.phase_id),
        "gone": str(visit.id),
    }
    asked = public_addresses(ids)
    asked += [f"/api/v1/{name}?limit=1000" for name in ("visits", "pits", "counts", "occurrences")]
    asked += [
        f"/files/{file.release_id}/{file.build}/{file.name}" for file in ReleaseFile.objects.all()
    ]
    asked = [address for address in asked if not address.startswith(OF_THE_MOMENT)]
    return {address: answer for address in asked if (answer := read(address))[0] < 400}


def read(address: str) -> tuple[int, bytes, dict[str, str]]:
    answer: Any = Client().get(address)
    return answer.status_code, bytes_of(answer), dict(answer.headers)


def nothing() -> None:
    """Change nothing."""


def move_within_the_cell() -> None:
    """Move every garden to other corners of its cell, and a school within its own."""
    for number, site in enumerate(Site.objects.order_by("code")):
        is_school = site.place_kind == "school_ground"
        site.latitude = Decimal("52.7899999" if is_school else f"52.88{number}0001")
        site.longitude = Decimal("-0.7000001" if is_school else f"-0.72{number}9999")
        site.save()


def measure_less_well() -> None:
    Site.objects.update(uncertainty_m=90, placed_by_hand=True)


def name_people() -> None:
    for person in Participant.objects.all():
        Participant.objects.filter(pk=person.pk).update(
            name=f"Mara Quill {person.pk}", contact="mara@example.org", born_on="2010-05-04"
        )


def rename_households() -> None:
    for person in Participant.objects.all():
        Participant.objects.filter(pk=person.pk).update(household=f"Rook Lane {person.pk}")


def write_notes() -> None:
    Visit.objects.update(note="Gate code 4711, ask for Mara. 52.8812345, -0.7234567")


def send_at_other_times() -> None:
    for number, visit in enumerate(Visit.objects.order_by("-id")):
        visit.received_at = visit.sent_at = f"2025-05-0{number + 1}T10:00:00Z"
        visit.save()


def place_pits_exactly() -> None:
    Pit.objects.update(latitude=Decimal("52.8855555"), longitude=Decimal("-0.7255555"))


def talk_about_it() -> None:
    for visit in Visit.objects.all():
        ReviewFactory.create(visit=visit, message="Is this Mara's garden?")
    SubmissionFactory.create(group=Group.objects.get(), body=b"kept word for word")


CHANGES = [
    move_within_the_cell,
    measure_less_well,
    name_people,
    rename_households,
    write_notes,
    send_at_other_times,
    place_pits_exactly,
    talk_about_it,
]


@pytest.mark.slow
def test_private_facts_change_no_public_byte() -> None:
    plain = twin(nothing, everything_public)
    assert len(plain) > 40
    assert twin(nothing, everything_public) == plain, "the same story twice is the same"

    for change in CHANGES:
        changed = twin(change, everything_public)
        assert set(changed) == set(plain), change.__name__
        for address, answer in plain.items():
            assert changed[address] == answer, (change.__name__, address)


@pytest.mark.slow
def test_public_facts_do_change_public_bytes() -> None:
    """Without this, the test above could compare answers that never change."""
    plain = twin(nothing, everything_public)

    approved = twin(lambda: Visit.objects.update(note_approved=True), everything_public)
    counted = twin(lambda: Visit.objects.update(people_digging=7), everything_public)

    assert b"Quiet morning." in approved["/api/v1/visits?limit=1000"][1]
    for changed in (approved, counted):
        different = {address for address in plain if changed[address] != plain[address]}
        assert "/api/v1/visits?limit=1000" in different
        assert any(address.endswith("visits.csv") for address in different)


def shrinking_boxes(latitude: float, longitude: float) -> list[str]:
    """Return boxes that close in on a point by halving."""
    boxes = []
    for step in range(HALVINGS):
        half = 2.0 / 2**step
        edges = (longitude - half, latitude - half, longitude + half, latitude + half)
        boxes.append(",".join(f"{edge:.12f}" for edge in edges))
    return boxes


def test_shrinking_boxes_find_the_cell_and_not_the_garden() -> None:
    def ask() -> Answers:
        site = Site.objects.get(code="garden-3")
        told = private_site(site)
        assert told.latitude != 52.885
        boxes = shrinking_boxes(52.8827345, -0.7234567)  # where garden 3 is at first
        return {box: read(f"/api/v1/visits?bbox={box}&fields=id") for box in boxes}

    plain, moved = twin(nothing, ask), twin(move_within_the_cell, ask)

    assert moved == plain
    found = [len(json.loads(answer[1])["data"]) for answer in plain.values()]
    assert found[0] > found[-1] == 0, "the point itself is in no public row"


def test_order_of_arrival_leaves_no_trace() -> None:
    def story(numbers: list[int]) -> Answers:
        cache.clear()
        with transaction.atomic():
            group = village_group()
            for number in numbers:
                household(group, number)
            release(1, mint=fixed_mint)
            asked = [f"/api/v1/{name}" for name in ("visits", "pits", "counts", "occurrences")]
            asked += ["/api/v1/releases/1/changes", "/files/1/1/archive.zip", "/files/1/1/pits.csv"]
            answers = {address: read(address) for address in asked}
            transaction.set_rollback(True)
        return answers

    assert story([1, 2, 3, 4, 5, 6]) == story([4, 6, 1, 5, 3, 2])


def test_archive_holds_no_instant_finer_than_the_release() -> None:
    tell(nothing)
    content = read("/files/2/1/archive.zip")[1]

    with zipfile.ZipFile(io.BytesIO(content)) as files:
        times = {entry.date_time for entry in files.infolist()}
        text = "".join(files.read(name).decode() for name in files.namelist())

    assert len(times) == 1
    assert "2025-04-14" not in text, "when a visit was received is nobody's business"
    assert CELL.split("|")[1] in text
