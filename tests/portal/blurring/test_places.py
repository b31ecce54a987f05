"""What is published of a cell."""

import math
import random
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod

from portal.blurring import CellNameError, lies_within, public_place
from portal.blurring.grid import (
    ALLOWANCES_M,
    FINEST_LEVEL,
    cell_at,
    cell_from_name,
    cell_name,
    latitude_e7,
    longitude_e7,
    row_of,
)
from portal.blurring.places import centre_to_corner_m
from tests.reference_tables import rows

WGS84 = Geod(ellps="WGS84")
CHECKS = rows("uncertainty_checks.csv")
PUBLISHED = rows("uncertainty_published.csv")
TABLE = [row for row in PUBLISHED if row["kind"] == "published_precision"]
(WORKED_EXAMPLE,) = [row for row in PUBLISHED if row["kind"] == "published_example"]


def name(row: dict[str, str]) -> str:
    return " ".join(row[key] for key in ("lat", "lon", "level"))


def step_diagonal_m(step: str, south: str) -> float:
    """Return twice the distance from the centre to the farthest corner of a cell at 0 east."""
    level = {"1": 1, "0.1": 3, "0.01": 4, "0.001": 5}[step]
    return 2 * centre_to_corner_m(level, row_of(cell_at(latitude_e7(south), 0, level)))


@pytest.mark.parametrize("row", CHECKS, ids=name)
def test_place_is_that_of_an_independent_implementation(row: dict[str, str]) -> None:
    position = latitude_e7(row["lat"]), longitude_e7(row["lon"])
    place = public_place(cell_name(cell_at(*position, int(row["level"]))))

    assert {
        "cell": place.cell,
        "level": str(place.level),
        "step_degrees": str(place.precision_deg),
        "decimalLatitude": str(place.latitude),
        "decimalLongitude": str(place.longitude),
        "coordinateUncertaintyInMeters": str(place.uncertainty_m),
        "footprintWKT": place.footprint_wkt,
    }.items() <= row.items()


@pytest.mark.parametrize("row", CHECKS, ids=name)
def test_distance_to_the_farthest_corner(row: dict[str, str]) -> None:
    level = int(row["level"])
    cell = cell_from_name(row["cell"])

    distance_m = centre_to_corner_m(level, row_of(cell))

    assert distance_m == pytest.approx(float(row["centre_to_farthest_corner_m"]), abs=0.001)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row['step_deg']} at {row['latitude']}")
def test_distance_agrees_with_the_published_table(row: dict[str, str]) -> None:
    """Chapman & Wieczorek 2020, Georeferencing Best Practices, doi 10.15468/doc-gg7h-s853.

    The table is about a whole step in both coordinates at one latitude; our cell begins there
    and reaches towards the pole, which shortens its diagonal by at most 0.16 % for a degree.
    """
    published_m, step = float(row["expected_uncertainty_m"]), float(row["step_deg"])

    diagonal_m = step_diagonal_m(row["step_deg"], row["latitude"])

    assert math.ceil(diagonal_m) <= published_m
    assert diagonal_m == pytest.approx(published_m, abs=1 + 0.0016 * step * published_m)


def test_distance_agrees_with_the_published_example() -> None:
    """Worked example of the same guide, 0.01 degree at 10.27 N 123.6 W, printed to 0.1 m."""
    diagonal_m = step_diagonal_m("0.01", WORKED_EXAMPLE["latitude"])

    assert round(diagonal_m, 1) == float(WORKED_EXAMPLE["expected_uncertainty_m"])


@settings(deadline=None)
@given(
    latitude=st.integers(-900_000_000, 900_000_000),
    level=st.integers(1, FINEST_LEVEL),
    chance=st.randoms(use_true_random=True),
)
def test_every_point_of_a_cell_is_within_the_distance(
    latitude: int, level: int, chance: random.Random
) -> None:
    """Geodesic distance on WGS 84 by PROJ (pyproj), to points on the edge and inside."""
    place = public_place(cell_name(cell_at(latitude, 123_456_789, level)))
    assert place.bounds is not None
    assert place.uncertainty_m is not None
    south, west, north, east = (float(edge) for edge in place.bounds)
    within_m = place.uncertainty_m - ALLOWANCES_M[level]

    points = [(chance.uniform(west, east), chance.uniform(south, north)) for _ in range(20)]
    points += [(longitude, latitude) for longitude, _ in points for latitude in (south, north)]
    for longitude, latitude_deg in points:
        _, _, distance_m = WGS84.inv(place.longitude, place.latitude, longitude, latitude_deg)
        assert distance_m <= within_m


@pytest.mark.parametrize(
    ("cell", "latitude", "longitude"),
    [
        ("1|52|-2", "52.5", "-1.5"),
        ("0.5|52.0|-1.5", "52.25", "-1.25"),
        ("0.1|52.1|-1.5", "52.15", "-1.45"),
        ("0.01|52.00|-1.46", "52.005", "-1.455"),
        ("0.001|52.120|-1.457", "52.1205", "-1.4565"),
    ],
)
def test_centre_has_the_decimals_of_its_level(cell: str, latitude: str, longitude: str) -> None:
    place = public_place(cell)

    assert (str(place.latitude), str(place.longitude)) == (latitude, longitude)


def test_bounds_are_south_west_north_east() -> None:
    place = public_place("0.01|51.23|-1.46")

    expected = Decimal("51.23"), Decimal("-1.46"), Decimal("51.24"), Decimal("-1.45")
    assert place.bounds == expected


def test_root_has_no_coordinates_and_says_so() -> None:
    place = public_place("root")

    assert (place.level, place.cell, place.footprint_wkt) == (0, "root", "")
    numbers = place.latitude, place.longitude, place.uncertainty_m, place.precision_deg
    assert numbers == (None, None, None, None)
    assert place.bounds is None
    assert place.georeference_protocol == ""
    assert place.data_generalizations == "Place generalised to the area of the whole dataset."
    assert place.information_withheld.startswith("Coordinates withheld to protect")


@pytest.mark.parametrize(
    ("here", "far_away"),
    [
        ("1|52|-2", "1|-34|150"),
        ("0.5|52.0|-1.5", "0.5|-34.0|150.5"),
        ("0.1|52.1|-1.5", "0.1|-33.9|150.1"),
        ("0.01|52.00|-1.46", "0.01|-33.99|150.11"),
        ("0.001|52.120|-1.457", "0.001|-33.999|150.111"),
    ],
)
def test_sentences_tell_the_level_and_nothing_of_the_place(here: str, far_away: str) -> None:
    place, other = public_place(here), public_place(far_away)
    step, allowance_m = place.precision_deg, ALLOWANCES_M[place.level]

    assert f"{step} degree grid" in place.georeference_protocol
    assert f"plus {allowance_m} m" in place.georeference_protocol
    assert f"{step} x {step} degree cell" in place.data_generalizations
    assert "ask the contact named in the metadata" in place.information_withheld
    assert place.georeference_protocol == other.georeference_protocol
    assert place.data_generalizations == other.data_generalizations
    assert place.information_withheld == other.information_withheld


def test_place_of_an_unknown_cell_is_refused() -> None:
    with pytest.raises(CellNameError):
        public_place("0.01|51.231|-1.46")


@pytest.mark.parametrize(
    ("box", "inside"),
    [
        ("-1,52,0,53", True),
        ("-0.73,52.88,-0.72,52.89", True),
        ("-0.7299,52.88,-0.72,52.89", False),
        ("-0.73,52.8801,-0.72,52.89", False),
        ("-0.73,52.88,-0.7201,52.89", False),
        ("-0.73,52.88,-0.72,52.8899", False),
        ("", False),
    ],
)
def test_cell_lies_within_a_box_only_as_a_whole(box: str, *, inside: bool) -> None:
    assert lies_within(public_place("0.01|52.88|-0.73").bounds, box) is inside


def test_place_without_a_cell_lies_within_nothing() -> None:
    assert not lies_within(public_place("root").bounds, "-180,-90,180,90")
