"""The benchmarks say what they measured, and ask for what there is; they are run by hand."""

import pytest

from tests.benchmarks.bench_pages import COUNTS, FILTERS, TOTALS
from tests.benchmarks.harness import Figure, interleaved
from tests.factories.published import small_release
from tests.journeys.actors import Actor


def test_figure_is_met_where_ours_takes_no_longer_than_the_goal_times_the_other() -> None:
    assert Figure("a page", "the least", ours_ms=13, other_ms=10, goal=1.3).is_met
    assert not Figure("a page", "the least", ours_ms=14, other_ms=10, goal=1.3).is_met


def test_figure_that_is_to_be_large_is_met_where_the_other_takes_so_many_times_longer() -> None:
    assert Figure("a page", "plain", 10, 25, goal=2.5, more_is_better=True).is_met
    assert not Figure("a page", "plain", 10, 24, goal=2.5, more_is_better=True).is_met


def test_figure_that_is_missed_says_so() -> None:
    line = str(Figure("a page", "the least", ours_ms=20, other_ms=10, goal=1.3))

    assert "2.00 <= 1.3" in line
    assert "MISSED" in line


def test_interleaved_runs_the_sides_in_turn() -> None:
    order: list[str] = []

    times = interleaved(
        {"ours": lambda: order.append("ours"), "other": lambda: order.append("other")},
        rounds=3,
        warm_up=1,
    )

    assert order == ["ours", "other"] * 4
    assert times.keys() == {"ours", "other"}


@pytest.mark.django_db
@pytest.mark.parametrize("filters", sorted({*FILTERS.values(), *TOTALS.values()}))
def test_every_address_that_is_timed_is_answered(filters: str) -> None:
    small_release()

    assert Actor().get(f"{COUNTS}{filters}").status_code == 200
