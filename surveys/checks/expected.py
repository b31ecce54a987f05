"""How many animals a pit usually holds: a range to ask about, never a reason to delete.

With enough earlier pits the range is the central interval of a negative binomial, the usual
model of clumped counts (Bliss & Fisher 1953, Biometrics 9: 176-200), its mean and variance
taken from those pits. Without them the limits of the protocol are scaled to the area dug.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import fmean, variance

from surveys.protocol.definition import CheckParameters

MASS = 0.995  # own-tests of the programme: predictiveMass
ENOUGH_PITS = 30  # own-tests of the programme: minPits
ZEROS_ONLY = 3.0  # "rule of three" for a rate after n zeros, Hanley & Lippman-Hand 1983, JAMA 249


@dataclass(frozen=True)
class Usual:
    """Lowest and highest usual count, and what that rests on."""

    lowest: int
    highest: int
    basis: str

    def holds(self, number: int) -> bool:
        """Tell whether a count is usual."""
        return self.lowest <= number <= self.highest


def usual_count(
    earlier: Sequence[int], area_m2: Decimal, limits: CheckParameters, mass: float = MASS
) -> Usual:
    """Return the usual range of animals in one pit."""
    if len(earlier) < ENOUGH_PITS:
        highest = int(limits.query_above_per_m2 * area_m2)
        return Usual(0, highest, f"{limits.query_above_per_m2} per m2, the limit of this kit")
    tail = (1 - mass) / 2
    lowest, highest = (quantile(earlier, share) for share in (tail, 1 - tail))
    return Usual(lowest, highest, f"{len(earlier)} earlier pits of this kit and season")


def quantile(earlier: Sequence[int], share: float) -> int:
    """Return the count below which ``share`` of such pits lie."""
    from scipy import stats  # noqa: PLC0415 -- heavy, and needed only with enough earlier pits

    mean = max(fmean(earlier), ZEROS_ONLY / len(earlier))
    spread = variance(earlier)
    if spread <= mean:
        return int(stats.poisson.ppf(share, mean))
    return int(stats.nbinom.ppf(share, mean**2 / (spread - mean), mean / spread))
