"""What two single pits say to those who dug them, in a few plain words."""

import math
from collections.abc import Callable

from portal.statistics.findings import Finding, Interval, Outcome

CAUTION = (
    "One pair of pits is an anecdote: it tells of these two spots on that day, not of such places "
    "in general. Animals lie in clumps, so even a clear difference may be chance; many pairs "
    "together can tell more."
)
TOO_CLOSE = "too close to call"
_SAYS_LITTLE = 20  # an upper limit beyond this tells of too few animals, not of the spots
_WHOLE_FROM = 3  # from here on "between 3 and 7 times", below "between 1.4 and 2.6 times"


def verdict(finding: Finding) -> str:
    """Return what the comparison of two single pits found.

    Limits are rounded outward, so that no more is claimed than was found.

    Parameters
    ----------
    finding : Finding
        Result of `compare_two_pits`; its names stand in the words.
    """
    if finding.outcome is Outcome.NOTHING_FOUND:
        return "Your two spots: nothing was found in either."
    if not finding.clear or finding.interval is None:
        return f"Your two spots: {TOO_CLOSE}."
    lower, upper = finding.interval
    if lower > 1:
        return f"The {finding.first.name} had more: {_times((lower, upper))}."
    turned = (1 / upper if upper else 0.0, 1 / lower if lower else None)
    return f"The {finding.second.name} had more: {_times(turned)}."


def _times(interval: Interval) -> str:
    lower, upper = interval
    low = _rounded(lower, math.floor)
    low = "just over 1" if low == "1" else low
    if upper is None or upper > _SAYS_LITTLE:
        return f"at least {low} times as many"
    return f"between {low} and {_rounded(upper, math.ceil)} times as many"


def _rounded(value: float, way: Callable[[float], int]) -> str:
    return f"{way(value)}" if value >= _WHOLE_FROM else f"{way(value * 10) / 10:g}"
