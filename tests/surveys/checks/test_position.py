"""Checks of the place."""

from dataclasses import replace
from decimal import Decimal

import pytest

from surveys.visits.facts import VisitFacts
from tests.surveys.checks.visits import MEETING_POINT, REGION, around, responses, visit


def at(latitude: str, longitude: str, **changes: object) -> VisitFacts:
    return visit(latitude=Decimal(latitude), longitude=Decimal(longitude), **changes)


@pytest.mark.parametrize(
    ("latitude", "longitude", "is_fault"),
    [
        ("52.70", "-0.50", False),
        ("52.99", "-0.50", False),  # 4.4 km north of the box
        ("53.00", "-0.50", True),  # 5.6 km
        ("52.70", "-0.23", False),  # 4.7 km east
        ("52.70", "-0.21", True),  # 6.1 km
        ("-52.70", "-0.50", True),
    ],
)
def test_site_lies_in_the_region_or_five_kilometres_beside(
    *, latitude: str, longitude: str, is_fault: bool
) -> None:
    (response,) = responses("VALIDATION_SITE_IN_REGION", at(latitude, longitude), around())

    assert response.is_fault is is_fault


@pytest.mark.parametrize(
    "label",
    ["VALIDATION_SITE_IN_REGION", "AMENDMENT_POSITION_TRANSPOSED", "AMENDMENT_POSITION_SIGN"],
)
def test_group_without_region_cannot_be_judged(label: str) -> None:
    (response,) = responses(label, visit(), around(region=None))

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("label", "sent", "proposal"),
    [
        ("TRANSPOSED", ("-0.48231", "52.70123"), {"latitude": "52.70123", "longitude": "-0.48231"}),
        ("TRANSPOSED", ("52.70123", "-0.48231"), None),
        ("TRANSPOSED", ("10", "20"), None),
        ("SIGN", ("52.70123", "0.48231"), {"latitude": "52.70123", "longitude": "-0.48231"}),
        ("SIGN", ("-52.70123", "-0.48231"), {"latitude": "52.70123", "longitude": "-0.48231"}),
        ("SIGN", ("-52.70123", "0.48231"), {"latitude": "52.70123", "longitude": "-0.48231"}),
        ("SIGN", ("-0.48231", "52.70123"), None),
        ("SIGN", ("52.70123", "-0.48231"), None),
    ],
)
def test_slip_is_proposed_only_when_it_alone_explains_the_place(
    label: str, sent: tuple[str, str], proposal: dict[str, str] | None
) -> None:
    (response,) = responses(f"AMENDMENT_POSITION_{label}", at(*sent), around())

    assert response.result == proposal
    assert response.status == ("AMENDED" if proposal else "NOT_AMENDED")
    assert "48231" not in response.comment


def test_sign_is_not_guessed_when_two_readings_fit() -> None:
    greenwich = replace(REGION, west=Decimal("-0.30"), east=Decimal("0.30"))

    (response,) = responses(
        "AMENDMENT_POSITION_SIGN", at("-52.70", "0.10"), around(region=greenwich)
    )

    assert response.status == "NOT_AMENDED"


@pytest.mark.parametrize(
    ("sent", "others", "codes"),
    [
        (("0", "0"), 0, ["position-zero"]),
        (("52.70123", "-0.48231"), 0, ["position-meeting-point"]),
        (("52.701235", "-0.482305"), 0, ["position-meeting-point"]),  # 0.7 m off
        (("52.70125", "-0.48231"), 0, []),  # 2.2 m off
        (("52.775", "-0.6"), 0, ["position-region-centre"]),
        (("52.80123", "-0.6"), 1, []),
        (("52.80123", "-0.6"), 2, ["position-shared"]),
        (("52.70123", "-0.48231"), 3, ["position-meeting-point", "position-shared"]),
    ],
)
def test_default_position_is_found(sent: tuple[str, str], others: int, codes: list[str]) -> None:
    known = around(others_at_position=others, meeting_point=MEETING_POINT)

    found = responses("VALIDATION_POSITION_NOT_PLACEHOLDER", at(*sent), known)

    assert [response.code for response in found if response.is_fault] == codes


@pytest.mark.parametrize(
    ("sent", "uncertainty_m", "codes"),
    [
        (("52.88123", "-0.72345"), 5.0, []),
        (("52.88123", "-0.72345"), 100.0, []),
        (("52.88123", "-0.72345"), 101.0, ["position-coarse"]),
        # half a unit of the last decimal along the meridian: 5560 m, 556 m, 55.6 m, 5.6 m, 0.6 m
        (("52.9", "-0.7"), 5.0, ["position-rounded"]),
        (("52.88", "-0.72"), 100.0, ["position-rounded"]),
        (("52.881", "-0.723"), 20.0, ["position-rounded"]),
        (("52.881", "-0.723"), 30.0, []),
        (("52.8812", "-0.7234"), 3.0, []),
        (("52.9000000", "-0.7000000"), 5.0, ["position-rounded"]),
        (("52.9", "-0.72345"), 5.0, []),
        (("52", "-1"), 500.0, ["position-coarse", "position-rounded"]),
    ],
)
def test_position_is_as_exact_as_it_claims(
    sent: tuple[str, str], uncertainty_m: float, codes: list[str]
) -> None:
    subject = at(*sent, uncertainty_m=uncertainty_m)

    found = responses("VALIDATION_POSITION_ACCURACY", subject, around())

    assert [response.code for response in found if response.is_fault] == codes


@pytest.mark.parametrize("placed_by_hand", [True, False])
def test_accuracy_may_be_missing_only_for_a_point_placed_by_hand(*, placed_by_hand: bool) -> None:
    sent = visit(uncertainty_m=None, placed_by_hand=placed_by_hand)

    (response,) = responses("VALIDATION_POSITION_ACCURACY", sent, around())

    assert response.is_fault is not placed_by_hand
