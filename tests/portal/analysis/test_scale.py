"""Axes."""

import pytest

from portal.analysis.scale import Scale, even_ticks

RATIOS = Scale(100, 500, 0.25, 4, by_ratio=True)
DENSITIES = Scale(100, 500, 0, 80)


@pytest.mark.parametrize(
    ("scale", "figure", "place"),
    [
        (RATIOS, 0.25, 100),
        (RATIOS, 1, 300),
        (RATIOS, 2, 400),
        (RATIOS, 4, 500),
        (RATIOS, 40, 500),
        (RATIOS, 0.0, 100),
        (DENSITIES, 20, 200),
        (DENSITIES, 100, 500),
    ],
)
def test_figures_have_their_place(scale: Scale, figure: float, place: float) -> None:
    assert scale.place(figure) == pytest.approx(place)


def test_what_lies_off_the_axis_is_known() -> None:
    assert [RATIOS.is_beyond(figure) for figure in (0.2, 0.25, 4, 5, None)] == [
        True,
        False,
        False,
        True,
        True,
    ]


@pytest.mark.parametrize(
    ("high", "ticks"),
    [
        (100, (0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100)),
        (37.8, (0, 5, 10, 15, 20, 25, 30, 35)),
        (0.9, (0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)),
        (12, (0, 2, 4, 6, 8, 10, 12)),
    ],
)
def test_ticks_are_round_figures(high: float, ticks: tuple[float, ...]) -> None:
    assert even_ticks(high) == pytest.approx(ticks)
