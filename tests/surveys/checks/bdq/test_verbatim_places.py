"""Coordinates and depths as people write them: one reading or none.

Factors are exact by definition: international foot 0.3048 m (1959 agreement), fathom 6 feet.
"""

import pytest

from surveys.checks.bdq.verbatim_places import read_angle, read_axis, read_depth, read_pair


@pytest.mark.parametrize(
    ("text", "north", "east"),
    [
        ("-23.712, 139.92", "-23.712", "139.92"),
        ("139.92, -23.712", "-23.712", "139.92"),
        ("-23.712 139.92", "-23.712", "139.92"),
        ("52.88N 0.72W", "52.88", "-0.72"),
        ("0.72 west; 52.88 north", "52.88", "-0.72"),
        ("S23.5 E139.9", "-23.5", "139.9"),
        ("23°30'S 139°15'E", "-23.5000000", "139.2500000"),
        ("23\u00b030\u203236\u2033S, 139\u00b00\u20320\u2033E", "-23.5100000", "139.0000000"),
        ("23 deg 30 min S, 139 deg 15 min E", "-23.5000000", "139.2500000"),
    ],
)
def test_pair_with_one_reading_is_read(text: str, north: str, east: str) -> None:
    pair = read_pair(text)

    assert pair is not None
    assert (str(pair[0]), str(pair[1])) == (north, east)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "10.5, 20.5",
        "139.92",
        "139.92, 120.5",
        "190, 20",
        "52.88N 0.72N",
        "95N 10E",
        "54K 0390210 7377243",
        "here, there",
        "52.88N 0.72W" + " " * 200,
    ],
)
def test_pair_with_no_or_several_readings_is_not_guessed(text: str) -> None:
    assert read_pair(text) is None


@pytest.mark.parametrize("text", ["23°61'S", "23°30'61\"S", "-23.5 S", "N 23 N", "181", "x"])
def test_impossible_angle_is_none(text: str) -> None:
    assert read_angle(text) is None


def test_axis_refuses_the_hemisphere_of_the_other() -> None:
    assert read_axis("10 E", "latitude") is None
    assert read_axis("95", "latitude") is None
    assert str(read_axis("95", "longitude")) == "95"


@pytest.mark.parametrize(
    ("text", "depths"),
    [
        ("0-20 cm", ("0", "0.2")),
        ("20cm", ("0.2", "0.2")),
        ("0.2 m", ("0.2", "0.2")),
        ("5 m to 10 m", ("5", "10")),
        ("10 fathoms", ("18.288", "18.288")),
        ("1500 to 1800 ft", ("457.2", "548.64")),
    ],
)
def test_depth_with_a_unit_is_exact(text: str, depths: tuple[str, str]) -> None:
    assert read_depth(text) == depths


@pytest.mark.parametrize("text", ["", "20", "10-15", "20-10 m", "5 m - 10 ft", "5 spits", "deep"])
def test_depth_without_one_reading_is_none(text: str) -> None:
    assert read_depth(text) is None
