"""The place of a site that may be shown where it is."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from pyproj import Geod

from portal.blurring import GeneralisationRules, PrivateSite, exact_place, is_exact, may_stay

RULES = GeneralisationRules()
FIELD = PrivateSite(
    key="1",
    unit="farm",
    latitude=Decimal("52.8812345"),
    longitude=Decimal("-0.7234567"),
    place_kind="farm",
    consent_level="fine",
    uncertainty_m=4.2,
)


def test_coordinates_are_rounded_to_five_decimals_and_nothing_else_is_blurred() -> None:
    place = exact_place(FIELD, RULES)

    # half-even: 52.8812345 -> 52.88123, -0.7234567 -> -0.72346
    assert (place.latitude, place.longitude) == (Decimal("52.88123"), Decimal("-0.72346"))
    assert (place.level, place.cell) == (6, "exact|52.88123|-0.72346")
    assert (place.uncertainty_m, place.precision_deg) == (5, Decimal("0.00001"))
    assert place.footprint_wkt == ""
    assert place.bounds == (place.latitude, place.longitude) * 2
    assert is_exact(place.cell)


@pytest.mark.parametrize(("recorded", "published"), [(None, 100), (0.3, 1), (12, 12)])
def test_uncertainty_is_the_recorded_one_in_whole_metres(
    recorded: float | None, published: int
) -> None:
    assert exact_place(replace(FIELD, uncertainty_m=recorded), RULES).uncertainty_m == published


def test_recorded_place_is_within_the_least_uncertainty() -> None:
    """Geodesic distance on WGS 84 by PROJ (pyproj), where a rounding step is longest."""
    site = replace(FIELD, latitude="0.000005", longitude="0.000005", uncertainty_m=0.1)

    place = exact_place(site, RULES)

    _, _, distance_m = Geod(ellps="WGS84").inv(
        place.longitude, place.latitude, site.longitude, site.latitude
    )
    assert place.uncertainty_m is not None
    assert distance_m <= place.uncertainty_m


def test_zero_has_no_sign() -> None:
    place = exact_place(replace(FIELD, latitude="-0.000001", longitude="-0.0"), RULES)

    assert place.cell == "exact|0.00000|0.00000"


@pytest.mark.parametrize(
    ("changed", "cell", "stays"),
    [
        ({}, "0.1|52.8|-0.8", True),
        ({}, "0.01|52.88|-0.73", False),  # finer than the floor of farms
        ({"consent_level": "region"}, "0.1|52.8|-0.8", False),
        ({"consent_level": "region"}, "1|52|-1", True),
        ({"taxon_category": 1}, "1|52|-1", False),
        ({"taxon_category": 1}, "root", True),
        ({"latitude": "53"}, "0.1|52.8|-0.8", False),
        ({"uncertainty_m": 2000}, "0.1|52.8|-0.8", False),
    ],
)
def test_site_stays_in_its_cell_while_it_lies_there_and_its_limit_allows(
    changed: dict[str, Any], cell: str, *, stays: bool
) -> None:
    assert may_stay(replace(FIELD, **changed), cell, RULES) is stays
