"""Outlines and distances."""

import pytest

from portal.checkarchive.places import contains, farthest_corner_m, is_polygon, polygon
from tests.reference_tables import rows

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0))
CELL = "POLYGON ((-1.46 51.23, -1.45 51.23, -1.45 51.24, -1.46 51.24, -1.46 51.23))"


def test_distance_to_the_corner_of_a_cell_of_a_hundredth_of_a_degree() -> None:
    rings = polygon(CELL)

    # Standards mapping, section 1.1: 656.8 m for a cell of 0.01 degrees at 51.2 degrees north.
    assert rings is not None
    assert farthest_corner_m(rings, (-1.455, 51.235)) == pytest.approx(656.8, abs=0.05)


@pytest.mark.parametrize("row", rows("uncertainty_checks.csv"), ids=lambda row: row["cell"])
def test_distance_to_the_corner_is_that_of_another_implementation(row: dict[str, str]) -> None:
    rings = polygon(row["footprintWKT"])

    # Geodesic inverse on WGS 84, computed by an independent implementation; see the table.
    assert rings is not None
    centre = (float(row["decimalLongitude"]), float(row["decimalLatitude"]))
    expected_m = float(row["centre_to_farthest_corner_m"])
    assert farthest_corner_m(rings, centre) == pytest.approx(expected_m, abs=0.001)


@pytest.mark.parametrize(
    "text",
    [
        CELL,
        "POLYGON((0 0,1 0,1 1,0 0))",
        "polygon (( 0 0 , 1e0 0 , +1 1.0 , 0 0 ))",
        "POLYGON ((0 0, 9 0, 9 9, 0 9, 0 0), (1 1, 2 1, 2 2, 1 1))",
    ],
)
def test_polygon_of_the_grammar_is_read(text: str) -> None:
    assert polygon(text) is not None


@pytest.mark.parametrize(
    "text",
    [
        "POLYGON ((0 0, 1 0, 1 1))",
        "POLYGON ((0 0, 1 0, 0 0))",
        "POLYGON ((0 0, 1 0, 1 1, 0 1))",
        "POLYGON (0 0, 1 0, 1 1, 0 0)",
        "POLYGON ((0 0, 1 0, 1 1, 0 0)",
        "POLYGON ((0,0 1,0 1,1 0,0))",
        "POLYGON ((0 0 0, 1 0 0, 1 1 0, 0 0 0))",
        "POLYGON ((a b, c d, e f, a b))",
        "POLYGON EMPTY",
    ],
)
def test_polygon_against_the_grammar_is_refused(text: str) -> None:
    assert is_polygon(text)
    assert polygon(text) is None


def test_outer_ring_comes_first_and_holes_follow() -> None:
    rings = polygon("POLYGON ((0 0, 9 0, 9 9, 0 9, 0 0), (1 1, 2 1, 2 2, 1 1))")

    assert rings is not None
    assert [len(ring) for ring in rings] == [5, 4]


@pytest.mark.parametrize(
    ("point", "expected"),
    [((2, 2), True), ((0, 2), True), ((4, 4), True), ((5, 2), False), ((2, -0.1), False)],
)
def test_point_is_inside_a_square_or_on_its_edge(
    point: tuple[float, float], *, expected: bool
) -> None:
    assert contains(SQUARE, point) is expected


def test_thousands_of_hostile_characters_are_refused_at_once() -> None:
    assert polygon("POLYGON ((" + "1 1," * 20_000 + "))") is None
