"""Plain words about two single pits."""

import pytest

from portal.statistics.comparison import compare_two_pits
from portal.statistics.samples import PitSample
from portal.statistics.two_spots import verdict


def told(hedge: int, lawn: int, area_m2: float = 0.04) -> str:
    first, second = (
        PitSample(name, (count,), (area_m2,)) for name, count in (("hedge", hedge), ("lawn", lawn))
    )
    return verdict(compare_two_pits(first, second))


@pytest.mark.parametrize(
    ("hedge", "lawn", "words"),
    [
        (0, 0, "Your two spots: nothing was found in either."),
        (6, 5, "Your two spots: too close to call."),
        (4, 0, "Your two spots: too close to call."),
        # Limits by the exact binomial interval of the share, read with scipy's binomtest:
        # 40 of 52 gives 0.6316 to 0.8747, so a ratio from 1.714 to 6.982
        (40, 12, "The hedge had more: between 1.7 and 7 times as many."),
        (12, 40, "The lawn had more: between 1.7 and 7 times as many."),
        # 20 of 30 gives 0.4719 to 0.8271: no difference; 21 of 30 gives 0.5060 to 0.8527
        (20, 10, "Your two spots: too close to call."),
        (21, 9, "The hedge had more: between just over 1 and 6 times as many."),
        # 12 of 13 gives 0.6397 to 0.9981: up to 512 times would tell of the one, not of the spots
        (12, 1, "The hedge had more: at least 1.7 times as many."),
        # 12 of 12 gives 0.7354 and no upper limit
        (12, 0, "The hedge had more: at least 2.7 times as many."),
        (0, 12, "The lawn had more: at least 2.7 times as many."),
    ],
)
def test_verdict_claims_no_more_than_was_found(hedge: int, lawn: int, words: str) -> None:
    assert told(hedge, lawn) == words
