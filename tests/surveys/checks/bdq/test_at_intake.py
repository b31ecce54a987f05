"""Published tests on a visit as it was sent."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from surveys.checks.bdq.at_intake import POINTERS, checks_at_intake, run_on_visit, terms_of
from surveys.checks.german import COMMENTS
from surveys.checks.operations import check_visit
from surveys.checks.policy import decide
from surveys.checks.response import Result
from tests.surveys.checks.visits import around, pit, visit

NOW = date(2025, 4, 14)
ZERO = {"latitude": Decimal("0.0"), "longitude": Decimal(0)}


def faults(**changes: Any) -> dict[str, str]:
    """Return what follows from each fault of a changed visit."""
    findings = run_on_visit(visit(**changes), NOW)
    return {one.label: decide(one) for one in findings if one.response.is_fault}


def test_every_test_that_is_run_looks_at_private_records() -> None:
    run = checks_at_intake()

    assert {known.label for known in run} == set(POINTERS)
    assert {known.stage for known in run} == {"both"}


def test_sound_visit_is_compliant_with_all() -> None:
    findings = list(run_on_visit(visit(), NOW))

    assert len(findings) == len(POINTERS)
    assert {one.response.result for one in findings} == {Result.COMPLIANT}
    assert all(one.test_id and one.source == "bdq" for one in findings)


@pytest.mark.parametrize(
    ("changes", "label", "action"),
    [
        (ZERO, "VALIDATION_COORDINATES_NOTZERO", "hold"),
        # 1 m is the least radius of the standard
        ({"uncertainty_m": 0.5}, "VALIDATION_COORDINATEUNCERTAINTY_INRANGE", "note"),
        ({"visited_on": date(2052, 4, 12)}, "VALIDATION_EVENTDATE_INRANGE", "pass"),
        ({"pits": (pit(depth_cm=Decimal(300)),)}, "VALIDATION_MAXDEPTH_INRANGE", "pass"),
    ],
)
def test_fault_is_found_and_nothing_else(changes: Any, label: str, action: str) -> None:
    assert faults(**changes) == {label: action}


@pytest.mark.parametrize("changes", [ZERO, {"uncertainty_m": 0.5}])
def test_fault_that_is_told_points_to_its_field_and_has_german_words(changes: Any) -> None:
    (told,) = (one.response for one in run_on_visit(visit(**changes), NOW) if one.response.is_fault)

    assert told.pointer.startswith("/site/")
    assert COMMENTS[told.code].format(**told.arguments)


def test_zero_position_stops_a_release_and_only_waits_as_sent() -> None:
    (found,) = (one for one in run_on_visit(visit(**ZERO), NOW) if one.response.is_fault)

    assert (decide(found), decide(found, "published")) == ("hold", "block")


def test_unknown_accuracy_cannot_be_judged() -> None:
    findings = {one.label: one.response for one in run_on_visit(visit(uncertainty_m=None), NOW)}

    response = findings["VALIDATION_COORDINATEUNCERTAINTY_INRANGE"]
    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


def test_terms_are_those_of_the_deepest_pit() -> None:
    deep = visit(pits=(pit(depth_cm=Decimal(20)), pit(2, depth_cm=Decimal("22.5"))))

    assert terms_of(deep) == {
        "dwc:eventDate": "2025-04-12",
        "dwc:year": "2025",
        "dwc:month": "4",
        "dwc:day": "12",
        "dwc:decimalLatitude": "52.88123",
        "dwc:decimalLongitude": "-0.72345",
        "dwc:coordinateUncertaintyInMeters": "5.0",
        "dwc:maximumDepthInMeters": "0.225",
    }


def test_checks_of_a_visit_end_with_the_published_ones() -> None:
    findings = check_visit(visit(), around())

    assert [one.label for one in findings[-len(POINTERS) :]] == [
        known.label for known in checks_at_intake()
    ]
    assert {one.source for one in findings[: -len(POINTERS)]} == {"programme"}


def test_no_comment_tells_a_coordinate() -> None:
    for one in run_on_visit(visit(uncertainty_m=0.5), NOW):
        assert "52.88" not in one.response.comment
        assert "0.7234" not in one.response.comment
