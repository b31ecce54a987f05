"""Distances against a geodesic library (pyproj, which carries GeographicLib)."""

from decimal import Decimal

import pytest
from pyproj import Geod

from surveys.checks.distance import centre, is_within, metres_between
from surveys.visits.facts import Box

GEOD = Geod(ellps="WGS84")
BOX = Box(Decimal("-0.9"), Decimal("52.6"), Decimal("-0.3"), Decimal("52.95"))


@pytest.mark.parametrize("latitude", [0, 35, 52.7, -41, 68])
@pytest.mark.parametrize("bearing", [0, 45, 90, 200])
@pytest.mark.parametrize("metres", [2, 400, 5000])
def test_distance_is_within_a_percent_of_the_geodesic(
    latitude: float, bearing: float, metres: float
) -> None:
    longitude, north, _ = GEOD.fwd(-0.7, latitude, bearing, metres)
    start = (Decimal(str(latitude)), Decimal("-0.7"))
    end = (Decimal(str(north)), Decimal(str(longitude)))

    assert metres_between(start, end) == pytest.approx(metres, rel=0.01)


@pytest.mark.parametrize(
    ("side", "bearing"), [((-0.6, 52.95), 0), ((-0.3, 52.7), 90), ((-0.9, 52.7), 270)]
)
def test_buffer_reaches_five_kilometres_beside_the_box(
    side: tuple[float, float], bearing: float
) -> None:
    def beside(metres: float) -> tuple[Decimal, Decimal]:
        longitude, latitude, _ = GEOD.fwd(*side, bearing, metres)
        return (Decimal(str(latitude)), Decimal(str(longitude)))

    assert is_within(beside(4900), BOX, 5000)
    assert not is_within(beside(5100), BOX, 5000)


def test_centre_is_the_middle_of_the_box() -> None:
    assert centre(BOX) == (Decimal("52.775"), Decimal("-0.6"))
