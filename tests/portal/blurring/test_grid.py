"""The grid; rules from the project's own decision on location generalisation."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.blurring.grid import (
    FINEST_LEVEL,
    ROOT,
    CellNameError,
    PositionError,
    cell_at,
    cell_from_name,
    cell_name,
    latitude_e7,
    level_of,
    longitude_e7,
    parent,
)

latitudes = st.integers(-900_000_000, 900_000_000)
longitudes = st.integers(-1_800_000_000, 1_799_999_999)
levels = st.integers(1, FINEST_LEVEL)


def name_at(latitude: str, longitude: str, level: int) -> str:
    return cell_name(cell_at(latitude_e7(latitude), longitude_e7(longitude), level))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("51.2345678", 512_345_678),
        ("-0.0", 0),
        ("90", 900_000_000),
        ("-90.0", -900_000_000),
        ("0.00000005", 0),  # ties go to the even neighbour
        ("0.00000015", 2),
        ("0.00000025", 2),
        ("-0.00000015", -2),
        ("0.00000005000000000000000000000000000000000001", 1),  # a little more than a tie
        ("5E-7", 5),
        (Decimal("51.2345678"), 512_345_678),
        (Decimal("0E-12"), 0),
    ],
)
def test_latitude_is_rounded_half_even(text: str | Decimal, expected: int) -> None:
    assert latitude_e7(text) == expected


@pytest.mark.parametrize("text", ["180", "180.0000000", "-180", "179.99999996", Decimal(180)])
def test_longitude_180_is_minus_180(text: str | Decimal) -> None:
    assert longitude_e7(text) == -1_800_000_000


@pytest.mark.parametrize("text", ["90.00000001", "-90.0000001", "1e9", "Infinity", "NaN", "sNaN"])
def test_latitude_off_the_globe_is_refused(text: str) -> None:
    with pytest.raises(PositionError, match=rf"^Latitude must be between -90 and 90, not {text}"):
        latitude_e7(text)


@pytest.mark.parametrize("text", ["180.00000001", "-181", "360", "-Infinity"])
def test_longitude_off_the_globe_is_refused(text: str) -> None:
    with pytest.raises(
        PositionError, match=rf"^Longitude must be between -180 and 180, not {text}"
    ):
        longitude_e7(text)


@pytest.mark.parametrize("text", ["", "north", "51,5", "51.5 N", "51°30'"])
def test_position_that_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(PositionError, match=r"^Latitude must be decimal degrees, not"):
        latitude_e7(text)


@pytest.mark.parametrize(
    ("latitude", "longitude", "level", "name"),
    [
        ("51.50", "-0.15", 4, "0.01|51.50|-0.15"),  # on both edges: north-east of the corner
        ("51.4999999", "-0.1500001", 4, "0.01|51.49|-0.16"),
        ("-0.0000001", "-0.0000001", 1, "1|-1|-1"),
        ("-0.0", "-0.0", 1, "1|0|0"),
        ("-0.0", "-0.0", 5, "0.001|0.000|0.000"),
        ("90", "12.3", 1, "1|89|12"),
        ("90", "12.3", 2, "0.5|89.5|12.0"),
        ("90", "12.3", 5, "0.001|89.999|12.300"),
        ("-90", "-180", 1, "1|-90|-180"),
        ("-90", "180", 5, "0.001|-90.000|-180.000"),
        ("51.5", "179.9999999", 4, "0.01|51.50|179.99"),
        ("51.5", "179.9999999", 1, "1|51|179"),
        ("51.5", "-0.15", 0, "root"),
    ],
)
def test_cell_of_an_edge_is_north_east_of_it(
    latitude: str, longitude: str, level: int, name: str
) -> None:
    assert name_at(latitude, longitude, level) == name


@pytest.mark.parametrize("level", range(1, FINEST_LEVEL + 1))
def test_both_sides_of_the_antimeridian_have_cells_of_their_own(level: int) -> None:
    west, east = name_at("0", "180", level), name_at("0", "179.9999999", level)

    assert west != east
    assert west == name_at("0", "-180", level)


@settings(deadline=None)
@given(latitude=latitudes, longitude=longitudes, level=levels)
def test_parent_contains_the_cell(latitude: int, longitude: int, level: int) -> None:
    cell = cell_at(latitude, longitude, level)

    assert parent(cell) == cell_at(latitude, longitude, level - 1)


@settings(deadline=None)
@given(latitude=latitudes, longitude=longitudes, level=st.integers(0, FINEST_LEVEL))
def test_cell_is_found_by_its_name(latitude: int, longitude: int, level: int) -> None:
    cell = cell_at(latitude, longitude, level)

    assert cell_from_name(cell_name(cell)) == cell
    assert level_of(cell) == level


def test_cells_sort_from_coarse_to_fine_then_south_then_west() -> None:
    names = ["root", "1|0|0", "0.5|-1.0|5.0", "0.5|-1.0|5.5", "0.5|-0.5|-9.0", "0.1|-9.0|-9.0"]

    cells = [cell_from_name(name) for name in names]

    assert cells == sorted(cells)
    assert cells[0] == ROOT


@pytest.mark.parametrize(
    "name",
    [
        "",
        "Root",
        "0.01",
        "0.01|51.23",
        "0.01|51.23|-1.46|0",
        "0.02|51.24|-1.46",  # no such step
        "0.01|51.231|-1.46",  # not on an edge
        "0.01|51.2|-1.46",  # too few decimals
        "0.010|51.23|-1.46",
        "1|-0|0",
        "1|90|0",  # no row begins at the pole
        "1|0|180",
        "1|91|0",
        "1|north|0",
    ],
)
def test_text_that_names_no_cell_is_refused(name: str) -> None:
    with pytest.raises(CellNameError, match="names no cell"):
        cell_from_name(name)
