"""The outline that a feature has."""

import pytest

from api.open.features.outlines import outlined
from tests.factories.published import PublishedVisitFactory, place_columns


def test_place_in_a_cell_has_its_outline() -> None:
    row = PublishedVisitFactory.build()

    assert outlined(row).footprint_wkt == row.footprint_wkt


def test_place_shown_by_coordinates_is_the_square_they_round_to() -> None:
    row = PublishedVisitFactory.build(
        footprint_wkt="", latitude=52.88543, longitude=-0.71457, precision_deg=0.00001
    )

    assert outlined(row).footprint_wkt == (
        "POLYGON ((-0.714575 52.885425, -0.714565 52.885425, -0.714565 52.885435, "
        "-0.714575 52.885435, -0.714575 52.885425))"
    )


@pytest.mark.parametrize("stray", [{}, {"latitude": 52.1234567, "longitude": -0.7654321}])
def test_withheld_place_has_none_whatever_the_row_says(stray: dict[str, float]) -> None:
    row = PublishedVisitFactory.build(**place_columns("root") | stray)

    assert outlined(row).footprint_wkt == ""
