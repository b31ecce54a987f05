"""Detection and agreement from trials; Wilson's limits by another library."""

import pytest
from scipy import stats

from surveys.science.calibration import (
    Detection,
    Numbers,
    Overlap,
    detection_by_group,
    overlap_by_group,
)


def test_detection_is_the_share_of_known_animals_found() -> None:
    found = detection_by_group([Numbers("anecic", 10, 7), Numbers("anecic", 10, 8)])["anecic"]

    limits = stats.binomtest(15, 20).proportion_ci(method="wilson")
    assert (found.n_lines, found.known, found.observed, found.beyond) == (2, 20, 15, 0)
    assert found.share is not None
    assert found.share.share == 0.75
    assert (found.share.lower, found.share.upper) == pytest.approx((limits.low, limits.high))


def test_animals_beyond_those_put_in_do_not_make_up_for_missed_ones() -> None:
    found = detection_by_group([Numbers("epigeic", 5, 9), Numbers("epigeic", 5, 1)])["epigeic"]

    assert found.share is not None
    assert (found.share.hits, found.share.n, found.beyond) == (6, 10, 4)


def test_overlap_is_smaller_over_larger_numbers() -> None:
    overlap = overlap_by_group([Numbers("endogeic", 8, 10), Numbers("endogeic", 6, 4)])["endogeic"]

    # (8 + 4) / (10 + 6), Ruzicka's similarity by hand
    assert overlap.share is not None
    assert overlap.share.share == 0.75
    assert (overlap.first, overlap.second) == (14, 14)


def test_groups_are_told_apart_and_in_order() -> None:
    lines = [Numbers("epigeic", 9, 9), Numbers("anecic", 9, 0)]

    shares = {
        group: one.share.share for group, one in detection_by_group(lines).items() if one.share
    }

    assert list(shares.items()) == [("anecic", 0.0), ("epigeic", 1.0)]


def test_nothing_is_said_of_fewer_than_five_animals() -> None:
    few = [Numbers("anecic", 4, 4)]

    assert detection_by_group(few) == {"anecic": Detection(1, 4, 4, 0, None)}
    assert overlap_by_group(few) == {"anecic": Overlap(1, 4, 4, None)}
    assert detection_by_group([]) == {}
