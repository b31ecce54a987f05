"""Checks of the visit date."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from tests.surveys.checks.visits import REGION, around, kit, responses, visit


@pytest.mark.parametrize(
    ("visited_on", "code"),
    [
        (date(2025, 4, 14), ""),
        (date(2025, 4, 15), "date-in-future"),
        (date(2025, 3, 1), ""),
        (date(2025, 2, 28), "date-before-kit"),
    ],
)
def test_visit_lies_between_start_of_the_kit_and_receipt(visited_on: date, code: str) -> None:
    known = around(received_on=date(2025, 4, 14))

    (response,) = responses("VALIDATION_VISITDATE_WINDOW", visit(visited_on=visited_on), known)

    assert response.code == code


@pytest.mark.parametrize(
    ("written_on", "received_on", "proposal"),
    [
        (date(2025, 8, 5), date(2025, 5, 9), "2025-05-08"),  # in the future
        (date(2025, 2, 5), date(2025, 5, 3), "2025-05-02"),  # before the kit
        (date(2025, 3, 4), date(2025, 4, 5), "2025-04-03"),  # in season, but a month late
        (date(2025, 3, 4), date(2025, 3, 6), None),  # likely as written
        (date(2025, 8, 13), date(2025, 5, 9), None),  # 13 is no month
        (date(2025, 7, 7), date(2025, 5, 9), None),  # nothing to swap
        (date(2025, 8, 6), date(2025, 5, 9), None),  # 8 June would be out of season
    ],
)
def test_swapped_parts_are_proposed_when_only_they_make_sense(
    written_on: date, received_on: date, proposal: str | None
) -> None:
    sent, known = visit(visited_on=written_on), around(received_on=received_on)

    (response,) = responses("AMENDMENT_VISITDATE_TRANSPOSED", sent, known)

    assert response.result == (None if proposal is None else {"visited_on": proposal})


@pytest.mark.parametrize(
    ("received_on", "is_fault"), [(date(2025, 6, 11), False), (date(2025, 6, 12), True)]
)
def test_record_is_late_after_sixty_days(*, received_on: date, is_fault: bool) -> None:
    sent = visit(visited_on=date(2025, 4, 12))

    (response,) = responses("VALIDATION_SUBMISSION_TIMELY", sent, around(received_on=received_on))

    assert response.is_fault is is_fault


NORTH = frozenset({3, 4, 5, 9, 10, 11})  # plausibility table of the programme


@pytest.mark.parametrize("month", range(1, 13))
def test_season_moves_by_half_a_year_south_of_the_equator(month: int) -> None:
    sent = visit(visited_on=date(2025, month, 15))
    south = replace(REGION, south=Decimal("-52.95"), north=Decimal("-52.60"))
    known = {"protocol": kit("contrast-pit/1"), "received_on": date(2026, 1, 1)}

    (in_north,) = responses("VALIDATION_SEASON_PROTOCOL", sent, around(**known))
    (in_south,) = responses("VALIDATION_SEASON_PROTOCOL", sent, around(region=south, **known))

    # the season is spring and autumn, so both halves of the earth share its months
    assert in_north.is_fault is (month not in NORTH)
    assert in_south.is_fault is ((month + 5) % 12 + 1 not in NORTH)


def test_season_follows_the_position_when_no_region_is_known() -> None:
    protocol = kit("contrast-pit/1")
    summer = protocol.checks.model_copy(update={"season_months": (6, 7)})
    known = around(protocol=protocol.model_copy(update={"checks": summer}), region=None)
    sent = visit(visited_on=date(2025, 1, 15), latitude=Decimal("-41.2"))

    (response,) = responses("VALIDATION_SEASON_PROTOCOL", sent, known)

    assert not response.is_fault
