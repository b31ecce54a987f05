"""Positions of another datum."""

from decimal import Decimal
from typing import Any

import pytest
from pyproj import Geod

from surveys.intake.datums import DatumUnusable, in_wgs84, to_wgs84
from surveys.intake.payload import VisitIn
from tests.factories.private import pit_payload, put, visit_payload

WGS84 = Geod(ellps="WGS84")


def degrees(whole: int, minutes: int, seconds: float) -> Decimal:
    return Decimal(whole + minutes / 60 + seconds / 3600)


def read(**site: Any) -> VisitIn:
    payload = visit_payload(pits=[pit_payload(latitude=52.8813, longitude=-0.7235)])
    for name, value in site.items():
        payload = put(payload, f"/site/{name}", value)
    return VisitIn.model_validate(payload)


def test_published_example_of_european_datum_1950() -> None:
    """The same point in WGS 84 and ED50: IOGP Guidance Note 373-7-2, geocentric translations.

    The four angles are from memory. The note uses another operation than PROJ chooses there, so
    the two may differ by the stated error.
    """
    latitude, longitude, error_m = to_wgs84(
        degrees(53, 48, 36.565), degrees(2, 7, 51.477), "EPSG:4230"
    )

    _, _, distance_m = WGS84.inv(
        float(longitude), float(latitude), degrees(2, 7, 46.38), degrees(53, 48, 33.82)
    )
    assert 0 < error_m <= 10
    assert distance_m <= error_m
    _, _, moved_m = WGS84.inv(
        float(longitude), float(latitude), degrees(2, 7, 51.477), degrees(53, 48, 36.565)
    )
    assert moved_m > 100, "the datums lie that far apart there"


def test_position_and_pits_are_moved_and_the_error_is_carried() -> None:
    sent = read(datum="EPSG:4277")

    visit = in_wgs84(sent)

    latitude, longitude, error_m = to_wgs84(Decimal("52.88123"), Decimal("-0.72345"), "EPSG:4277")
    assert (visit.site.latitude, visit.site.longitude) == (latitude, longitude)
    assert visit.site.uncertainty_m == pytest.approx(5 + error_m)
    assert visit.site.datum == "EPSG:4326"
    moved = visit.pits[0].latitude
    assert moved is not None
    assert float(moved) - 52.8813 == pytest.approx(float(latitude) - 52.88123, abs=1e-6)
    assert abs(float(moved) - 52.8813) > 1e-4
    assert in_wgs84(visit) is visit


def test_visit_in_wgs84_stays_as_it_was() -> None:
    sent = read()

    assert in_wgs84(sent) is sent


@pytest.mark.parametrize(
    ("site", "uncertainty_m"),
    [
        # 5359 m: Chapman & Wieczorek 2020, doi:10.15468/doc-gg7h-s853
        ({"placed_by_hand": True}, 5364),
        ({"placed_by_hand": True, "uncertainty_m": None}, 5459),
        ({"placed_by_hand": False}, 5),
        ({"placed_by_hand": False, "uncertainty_m": None}, None),
    ],
)
def test_unknown_datum_costs_the_worst_case_unless_a_receiver_measured(
    site: dict[str, Any], uncertainty_m: float | None
) -> None:
    visit = in_wgs84(read(datum="unknown", **site))

    assert visit.site.uncertainty_m == uncertainty_m
    assert visit.site.latitude == Decimal("52.88123")


def test_datum_that_does_not_reach_the_place_costs_the_worst_case() -> None:
    """The North American Datum of 1927 has no operation for Europe in the EPSG data set."""
    assert to_wgs84(Decimal(52), Decimal(0), "EPSG:4267")[2] == 5359


def test_datum_that_equals_ours_moves_nothing() -> None:
    latitude, longitude, error_m = to_wgs84(Decimal("52.5"), Decimal("-0.5"), "EPSG:4258")

    assert (latitude, longitude) == (Decimal("52.5"), Decimal("-0.5"))
    assert error_m == 1, "the difference of ETRS89 that the EPSG data set states"


@pytest.mark.parametrize("datum", ["EPSG:27700", "EPSG:4979", "EPSG:999999"])
def test_datum_of_no_latitude_and_longitude_is_refused(datum: str) -> None:
    with pytest.raises(DatumUnusable, match=datum):
        to_wgs84(Decimal(52), Decimal(0), datum)
