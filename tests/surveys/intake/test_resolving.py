"""A well-formed visit tied to what is known, or every reason why it cannot be."""

from decimal import Decimal
from typing import Any

import pytest

from surveys.intake.faults import Fault
from surveys.intake.reading import read_visit
from surveys.intake.resolving import Resolved, resolve
from surveys.people.models import Group
from surveys.sites.operations import Placement
from tests.factories.private import (
    ParticipantFactory,
    Payload,
    SiteFactory,
    counts_payload,
    put,
    sending_group,
    visit_payload,
)
from tests.surveys.intake.cases import LINE, PIT, RESOLVING, STEP, Case

pytestmark = pytest.mark.django_db


@pytest.fixture
def group() -> Group:
    """Return a group that knows one site, called OLD, and a stranger's one."""
    group = sending_group()
    SiteFactory.create(
        owner=group.participants.get(),
        code="OLD",
        latitude=Decimal("52.88123"),
        longitude=Decimal("-0.72345"),
        place_detail="region",
    )
    SiteFactory.create(code="STRANGE")
    ParticipantFactory.create(code="QVD-99")
    return group


def resolved(payload: Payload, group: Group) -> tuple[Resolved | None, list[Fault]]:
    visit, faults = read_visit(payload, "/visits/3")
    assert faults == []
    assert visit is not None
    return resolve(visit, group, "/visits/3")


def told(payload: Payload, group: Group) -> list[tuple[str, str]]:
    found, faults = resolved(payload, group)
    assert (found is None) is bool(faults)
    assert {(fault.severity, fault.record) for fault in faults} <= {("error", "QVD-S01")}
    return [(fault.pointer.removeprefix("/visits/3"), fault.code) for fault in faults]


def test_sound_visit_is_tied_to_what_it_names(group: Group) -> None:
    found, faults = resolved(visit_payload(), group)

    assert faults == []
    assert found is not None
    assert (str(found.version), found.protocol.name) == ("contrast-pit/2", "contrast-pit/2")
    assert found.participant == group.participants.get(code="QVD-07")
    assert found.placement == Placement(
        code="QVD-07-1",
        latitude=Decimal("52.88123"),
        longitude=Decimal("-0.72345"),
        uncertainty_m=5.0,
        placed_by_hand=False,
        place_kind="private_garden",
        place_detail="standard",
    )


@pytest.mark.parametrize("case", RESOLVING, ids=str)
def test_fault_is_told_once_at_its_place(group: Group, case: Case) -> None:
    assert told(case.payload, group) == [(case.pointer, case.code)]


def test_all_faults_are_told_in_one_answer(group: Group) -> None:
    payload = visit_payload(participant="QVD-99", site={"code": "STRANGE", "latitude": 1})
    payload = put(payload, f"{PIT}/sorting_minutes", None)
    payload = put(
        payload, f"{STEP}/counts", counts_payload(1, 1, 1, 1) + counts_payload(1, 1, 1, 1)[:1]
    )

    assert told(payload, group) == [
        ("/participant", "participant-unknown"),
        ("/site/longitude", "site-new-needs-place"),
        ("/site/place_kind", "site-new-needs-place"),
        (f"{PIT}/sorting_minutes", "field-required-by-protocol"),
        (f"{STEP}/counts/4", "line-twice"),
    ]


def test_everything_is_wanted_of_a_site_without_a_place(group: Group) -> None:
    faults = told(visit_payload(site={"code": "NEW"}), group)

    places = ("/site/latitude", "/site/longitude", "/site/place_kind")
    assert faults == [(place, "site-new-needs-place") for place in places]


def test_everything_that_differs_of_a_known_site_is_told(group: Group) -> None:
    sent = {"code": "OLD", "latitude": 1, "longitude": 1, "place_kind": "farm"}

    faults = told(visit_payload(site=sent), group)

    places = ("/site/latitude", "/site/longitude", "/site/place_kind")
    assert faults == [(place, "site-differs") for place in places]


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"latitude": 52.88123, "longitude": -0.72345, "place_kind": "private_garden"},
        {"latitude": 52.881230000001},
        {"latitude": None, "place_kind": None},
        {"place_kind": "private_garden"},
    ],
)
def test_known_site_keeps_its_place(group: Group, more: dict[str, Any]) -> None:
    found, faults = resolved(visit_payload(site={"code": "OLD"} | more), group)

    assert faults == []
    assert found is not None
    assert found.placement.latitude == Decimal("52.88123")
    assert found.placement.place_detail == "region"


@pytest.mark.parametrize(
    ("asked", "held"), [("fine", "region"), ("no_coordinates", "no_coordinates")]
)
def test_known_site_may_be_shown_more_coarsely_never_more_finely(
    group: Group, asked: str, held: str
) -> None:
    found, _ = resolved(visit_payload(site={"code": "OLD", "place_detail": asked}), group)

    assert found is not None
    assert found.placement.place_detail == held


def test_fault_of_another_place_does_not_tell_the_known_one(group: Group) -> None:
    sent = {"code": "OLD", "latitude": 52.9, "longitude": -0.72345}

    _, (fault,) = resolved(visit_payload(site=sent), group)

    assert "52" not in f"{fault.message}{fault.allowed}{fault.received}"


def test_unknown_protocol_is_answered_with_the_list(group: Group) -> None:
    _, (fault,) = resolved(visit_payload(protocol="contrast-pit/3"), group)

    assert fault.received == "contrast-pit/3"
    assert fault.allowed == "contrast-pit/1, contrast-pit/2, school-pit/1, species-pit/1"


def test_line_of_another_kit_is_answered_with_the_lines_of_this_one(group: Group) -> None:
    _, (fault,) = resolved(put(visit_payload(), f"{LINE}/stage", "subadult"), group)

    assert fault.received == "epigeic subadult"
    assert fault.allowed == ("anecic adult; endogeic adult; epigeic adult; unassigned juvenile")


def test_species_kit_takes_its_species_and_no_bare_group(group: Group) -> None:
    payload = visit_payload(protocol="species-pit/1")
    named = {"group": "anecic", "stage": "adult", "taxon": "Lumbricus terrestris", "number": 1}
    bare = {"group": "anecic", "stage": "adult", "number": 1}
    for pit in payload["pits"]:
        pit["phases"] = [{"kind": "hand_sort", "done": True, "counts": [named]}]

    assert told(payload, group) == []
    assert told(put(payload, f"{STEP}/counts/0", bare), group) == [(LINE, "line-not-in-protocol")]


def test_step_that_a_kit_leaves_out_cannot_be_sent(group: Group) -> None:
    payload = visit_payload(protocol="school-pit/1")

    assert told(payload, group) == [
        ("/pits/0/phases/1/kind", "phase-not-in-protocol"),
        ("/pits/1/phases/1/kind", "phase-not-in-protocol"),
    ]


def test_older_version_does_not_ask_for_what_the_newer_does(group: Group) -> None:
    payload = visit_payload(protocol="contrast-pit/1")
    for pit in payload["pits"]:
        pit["sorting_minutes"] = pit["sorted_to_end"] = None

    assert told(payload, group) == []
