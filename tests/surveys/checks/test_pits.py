"""Checks of the holes."""

from decimal import Decimal
from typing import Any

import pytest

from surveys.visits.facts import PitFacts
from tests.surveys.checks.visits import around, kit, pit, responses, visit


def codes(label: str, *pits: PitFacts, **known: object) -> list[str]:
    return [one.code for one in responses(label, visit(pits=pits), around(**known)) if one.code]


@pytest.mark.parametrize(
    ("depth", "hint"),
    [
        ("2000", "Was it noted or read in metres? Then send 20;"),
        ("0.2", "Was it noted or read in metres? Then send 20;"),
        ("200", "Was it noted or read in millimetres? Then send 20;"),
        ("61", "measure again"),
        ("1.8", "Was it noted or read in millimetres? Then send 18;"),
        ("4.9", "measure again"),
    ],
)
def test_impossible_depth_names_the_likely_slip(depth: str, hint: str) -> None:
    sent = visit(pits=(pit(depth_cm=Decimal(depth)),))

    (response,) = responses("VALIDATION_PITSIZE_PLAUSIBLE", sent, around())

    assert response.pointer == "/pits/0/depth_cm"
    assert f"depth of {depth} cm; 5 to 60 cm is possible" in response.comment
    assert hint in response.comment


@pytest.mark.parametrize("depth", ["5", "60"])
def test_depth_at_the_limit_is_possible(depth: str) -> None:
    assert codes("VALIDATION_PITSIZE_PLAUSIBLE", pit(depth_cm=Decimal(depth))) == []


@pytest.mark.parametrize(
    ("changes", "pointers"),
    [
        ({"depth_cm": Decimal(35), "width_cm": Decimal(21)}, []),
        ({"depth_cm": Decimal("35.5")}, ["/pits/0/depth_cm"]),
        ({"width_cm": Decimal(25)}, ["/pits/0/width_cm"]),
        (
            {"width_cm": Decimal(25), "length_cm": Decimal(25)},
            ["/pits/0/width_cm", "/pits/0/length_cm"],
        ),
    ],
    ids=["within", "deep", "wide", "other kit"],
)
def test_size_must_be_that_of_the_kit(changes: dict[str, Any], pointers: list[str]) -> None:
    found = responses("VALIDATION_PITSIZE_PROTOCOL", visit(pits=(pit(**changes),)), around())

    assert [response.pointer for response in found if response.is_fault] == pointers


def test_size_of_the_species_kit_is_its_own() -> None:
    dug = pit(width_cm=Decimal(25), length_cm=Decimal(25), depth_cm=Decimal(30))

    assert codes("VALIDATION_PITSIZE_PROTOCOL", dug, protocol=kit("species-pit/1")) == []


def test_more_pits_than_the_kit_has_are_found() -> None:
    label = "VALIDATION_PITSIZE_PROTOCOL"

    assert codes(label, pit(1), pit(2), pit(3)) == ["too-many-pits"]


@pytest.mark.parametrize(
    ("pits", "found"),
    [
        ((pit(1, habitat="lawn"), pit(2, habitat="hedge")), []),
        (
            (
                pit(1, habitat="crop field", management=("ploughed",)),
                pit(2, habitat="crop field", management=("direct drilled",)),
            ),
            [],
        ),
        ((pit(1, habitat="lawn"), pit(2, habitat="lawn")), ["visit-unpaired"]),
        ((pit(1),), ["visit-unpaired"]),
        ((pit(1), pit(2), pit(3, habitat="fallow")), ["visit-unpaired"]),
    ],
    ids=["habitats", "managements", "same ground", "one", "three"],
)
def test_pair_is_two_pits_on_two_kinds_of_ground(
    pits: tuple[PitFacts, ...], found: list[str]
) -> None:
    assert codes("VALIDATION_VISIT_PAIRED", *pits) == found


@pytest.mark.parametrize(
    ("north", "found"),
    [
        # one degree of latitude is about 111.2 km
        ("52.88123", ["pit-position-copied"]),
        ("52.88124", ["pits-separation"]),
        ("52.88133", []),
        ("52.88973", []),
        ("52.89123", ["pits-separation"]),
    ],
    ids=["same", "1 m", "11 m", "945 m", "1112 m"],
)
def test_pits_lie_two_metres_to_a_kilometre_apart(north: str, found: list[str]) -> None:
    first = pit(1, latitude=Decimal("52.88123"), longitude=Decimal("-0.72345"))
    second = pit(2, latitude=Decimal(north), longitude=Decimal("-0.72345"))

    assert codes("VALIDATION_PITS_SEPARATION_INRANGE", first, second) == found


def test_pair_is_not_asked_of_a_kit_with_one_pit() -> None:
    one = kit().model_copy(update={"pit": kit().pit.model_copy(update={"pits_per_visit": 1})})

    (response,) = responses("VALIDATION_VISIT_PAIRED", visit(pits=(pit(1),)), around(protocol=one))

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


def test_distance_needs_two_positions() -> None:
    placed = pit(1, latitude=Decimal("52.88123"), longitude=Decimal("-0.72345"))

    (response,) = responses(
        "VALIDATION_PITS_SEPARATION_INRANGE", visit(pits=(placed, pit(2))), around()
    )

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"
