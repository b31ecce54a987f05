"""What a comparison of two habitats found, in numbers and in one plain sentence."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from portal.statistics.samples import PitSample

ALPHA = 0.05
Interval = tuple[float, float | None]  # an upper limit of None has no bound


class Unit(StrEnum):
    """What was compared; decides what n counts."""

    VISITS = "visits"
    PITS = "pits"
    TWO_PITS = "two pits"


class Outcome(StrEnum):
    """Why a difference is called clear or not."""

    CLEAR = "clear"
    SPANS_ONE = "interval includes 1"
    TOO_FEW = "too few"
    NOTHING_FOUND = "nothing found"
    ONE_SIDE = "found on one side only"
    ONE_VISIT = "found in one visit only"
    SEVERAL = "not clear among several comparisons"


FEWEST = {
    Unit.VISITS: 6,  # five pairs that all agree still give an exact two-sided p of 2/32 = 0.0625
    Unit.PITS: 5,  # of each habitat; project judgement: fewer give no usable dispersion
    Unit.TWO_PITS: 1,
}


@dataclass(frozen=True)
class Finding:
    """Result of comparing two habitats.

    Parameters
    ----------
    first, second : PitSample
        What was compared; their names stand in the sentence.
    unit : Unit
        What counts as one observation.
    method : str
        How ratio, interval and p were found.
    outcome : Outcome
        Verdict and its reason.
    ratio : float or None
        Density of the first over that of the second; None when one of them is zero.
    interval : tuple or None
        95 percent limits of the ratio; None when they cannot be had.
    standard_error : float or None
        Standard error of the natural logarithm of the ratio.
    p_value : float or None
        Two-sided p of equal densities.
    """

    first: PitSample
    second: PitSample
    unit: Unit
    method: str
    outcome: Outcome
    ratio: float | None = None
    interval: Interval | None = None
    standard_error: float | None = None
    p_value: float | None = None

    @property
    def n(self) -> int:
        """Return the number of visits when paired, else of pits."""
        both = self.first.n_pits + self.second.n_pits
        return self.first.n_pits if self.unit is Unit.VISITS else both

    @property
    def clear(self) -> bool:
        """Tell whether a difference was shown."""
        return self.outcome is Outcome.CLEAR

    @property
    def sentence(self) -> str:
        """Return the finding in plain words; never claims a difference that was not shown."""
        if not self.clear:
            names = f"{self.first.name} and {self.second.name}"
            return f"No clear difference between {names}: {self._reason()}."
        if self.ratio is None:
            return f"A clear difference: {self._one_sided()}."
        more, less, ratio, interval = self._larger_first()
        return (
            f"More in {more}: {ratio} times as many animals per m2 as in {less} "
            f"(95 % interval {interval}; {self._units()})."
        )

    def _reason(self) -> str:
        """Return why no difference is claimed."""
        if self.outcome is Outcome.ONE_SIDE:
            return f"{self._one_sided()}, too few to tell"
        if self.outcome is Outcome.SPANS_ONE:
            more, _, ratio, interval = self._larger_first()
            return (
                f"{ratio} times as many animals per m2 in {more}, but the 95 % interval "
                f"{interval} includes 1 ({self._units()})"
            )
        return {
            Outcome.TOO_FEW: f"{self._units()}, but at least {self._needed()} are needed",
            Outcome.NOTHING_FOUND: f"nothing was found in either ({self._units()})",
            Outcome.ONE_VISIT: "all animals of one of them came from a single visit",
            Outcome.SEVERAL: "among so many comparisons one like this turns up by chance",
        }[self.outcome]

    def _one_sided(self) -> str:
        """Return which side held animals and which none."""
        found, empty = self.first, self.second
        if found.total_count == 0:
            found, empty = empty, found
        return (
            f"animals were found only in {found.name} ({found.total_count}; {self._units()}), "
            f"none in {empty.name}"
        )

    def _larger_first(self) -> tuple[str, str, str, str]:
        """Return the richer name, the poorer one, their ratio and its interval in words."""
        ratio, (lower, upper) = self.ratio or 1.0, self.interval or (0.0, None)
        if ratio >= 1:
            return self.first.name, self.second.name, _figure(ratio), _interval_words(lower, upper)
        flipped = _interval_words(1 / upper if upper else 0.0, 1 / lower if lower else None)
        return self.second.name, self.first.name, _figure(1 / ratio), flipped

    def _needed(self) -> str:
        """Return the fewest units, in words."""
        return f"{FEWEST[self.unit]}{' of each' if self.unit is Unit.PITS else ''}"

    def _units(self) -> str:
        """Return how much was compared, in words."""
        if self.unit is Unit.TWO_PITS:
            return "these two pits only"
        if self.unit is Unit.PITS:
            return f"{self.first.n_pits} and {self.second.n_pits} pits"
        return f"{self.n} visit{'' if self.n == 1 else 's'}"


def holm(p_values: Sequence[float]) -> tuple[float, ...]:
    """Return p-values adjusted for being several.

    Holm 1979, A simple sequentially rejective multiple test procedure, Scandinavian Journal of
    Statistics 6:65-70: the smallest of m is multiplied by m, the next by m - 1, and so on, and
    none may be smaller than the one before.

    Parameters
    ----------
    p_values : sequence of float
        Unadjusted p-values, in any order.

    Returns
    -------
    tuple of float
        Adjusted p-values, same order, at most 1.
    """
    adjusted = [0.0] * len(p_values)
    largest = 0.0
    order = sorted(range(len(p_values)), key=lambda index: p_values[index])
    for rank, index in enumerate(order):
        largest = max(largest, min(1.0, p_values[index] * (len(p_values) - rank)))
        adjusted[index] = largest
    return tuple(adjusted)


def adjust_for_several(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Judge a family of findings again with Holm's adjustment; intervals stay unadjusted.

    Parameters
    ----------
    findings : sequence of Finding
        All comparisons that were looked at together, the unclear ones too.

    Returns
    -------
    tuple of Finding
        Same order; a finding that is no longer clear says so.
    """
    tested = [finding.p_value for finding in findings if finding.p_value is not None]
    adjusted = iter(holm(tested))
    return tuple(
        finding if finding.p_value is None else _judged_again(finding, next(adjusted))
        for finding in findings
    )


def _judged_again(finding: Finding, p_value: float) -> Finding:
    """Return the finding with its adjusted p and the verdict that follows."""
    lost = finding.clear and p_value >= ALPHA
    return replace(
        finding,
        p_value=p_value,
        method=f"{finding.method}; p adjusted (Holm 1979)",
        outcome=Outcome.SEVERAL if lost else finding.outcome,
    )


def _interval_words(lower: float, upper: float | None) -> str:
    """Return an interval in words."""
    return f"{_figure(lower)} to {_figure(upper)}" if upper else f"{_figure(lower)} or more"


def _figure(value: float) -> str:
    """Return a ratio with two decimals below 10 and none above."""
    return f"{value:.2f}" if value < 10 else f"{value:.0f}"  # noqa: PLR2004 -- two digits
