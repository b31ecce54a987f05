"""How many more visits a contrast needs, judged from the pits that were dug already."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from portal.statistics.contrasts import Comparison, Contrast, Pairing, compare_sides
from portal.statistics.findings import FEWEST, Finding, Unit
from portal.statistics.negative_binomial import fit
from portal.statistics.power import paired_visits_needed_like, pits_needed_per_habitat
from portal.statistics.tallies import PitTally

METHOD = (
    "n = (z_alpha + z_power)^2 V / ln(ratio)^2, two-sided 5 percent (Zhu and Lakkis 2014, "
    "Statistics in Medicine 33:376-387). Pairs: V = visits x jackknife error^2 of the present log "
    "ratio, plus z_alpha^2 / 2 for Student's t (Guenther 1981, The American Statistician "
    "35:243-244); range from the 95 percent interval of a variance (Snedecor and Cochran 1967, "
    "Statistical Methods). Pits apart: V = 1/mu_1 + 1/mu_2 + 2 alpha, alpha as fitted now."
)
ASSUMPTIONS = (
    "Later visits vary as much as the present ones: same kit and steps, like people and places.",
    "Visits are independent of each other: new places, not the same ones again.",
    "The ratio is one of densities, the same at every visit but for chance.",
    "The present variance is itself an estimate; the range shows how rough it is.",
)


@dataclass(frozen=True)
class Plan:
    """What one kit and steps would need to show a ratio.

    Parameters
    ----------
    kit, steps : str
        How the pits are dug and sorted.
    first, second : str
        The two sides in words.
    ratio, power : float
        What is to be shown, and how surely.
    n_visits : int
        Visits that hold both pits now.
    visits_needed : int or None
        Paired visits needed in all; None when too few are there to know the variance.
    visits_range : tuple of int or None
        Rough limits of that number.
    pits_needed : int or None
        Pits needed on each side if they are not paired; None when a side has no animal.
    """

    kit: str
    steps: str
    first: str
    second: str
    ratio: float
    power: float
    n_visits: int
    visits_needed: int | None
    visits_range: tuple[int, int] | None
    pits_needed: int | None

    @property
    def visits_missing(self) -> int | None:
        """Return how many paired visits are still to be made."""
        return None if self.visits_needed is None else max(0, self.visits_needed - self.n_visits)

    @property
    def sentence(self) -> str:
        """Return the plan in plain words."""
        asked = f"{self.first} against {self.second}, ratio {self.ratio:g}"
        return f"{asked}: {self._visits()}; {self._pits()}."

    def _visits(self) -> str:
        if self.visits_needed is None or self.visits_range is None:
            return (
                f"{self.n_visits} paired visit{' is' if self.n_visits == 1 else 's are'} too few "
                f"to know how much visits vary, at least {FEWEST[Unit.VISITS]} are needed"
            )
        low, high = self.visits_range
        return (
            f"about {self.visits_needed} paired visits (roughly {low} to {high}) show it with "
            f"{self.power:.0%} power, {self.n_visits} are there"
        )

    def _pits(self) -> str:
        if self.pits_needed is None:
            return "nothing can be said of unpaired pits, as a side holds no animals or few pits"
        return f"unpaired, about {self.pits_needed} pits of each"


def plan_contrast(
    pits: Sequence[PitTally], contrast: Contrast, ratio: float, power: float
) -> tuple[Plan, ...]:
    """Return what each kit and steps would need to show a ratio between two sides.

    Parameters
    ----------
    pits : sequence of PitTally
        Usable pits.
    contrast : Contrast
        The two sides.
    ratio : float
        Ratio of densities to be shown, above 0 and not 1.
    power : float
        Probability of showing it, between 0 and 1.
    """
    paired = {
        (one.kit, one.steps): one.finding
        for one in compare_sides(pits, replace(contrast, pairing=Pairing.PAIRED)).comparisons
    }
    apart = compare_sides(pits, replace(contrast, pairing=Pairing.UNPAIRED)).comparisons
    return tuple(
        _plan(one, paired.get((one.kit, one.steps)), ratio=ratio, power=power) for one in apart
    )


def _plan(apart: Comparison, paired: Finding | None, *, ratio: float, power: float) -> Plan:
    needed = None if paired is None else paired_visits_needed_like(paired, ratio, power)
    return Plan(
        kit=apart.kit,
        steps=apart.steps,
        first=apart.finding.first.name,
        second=apart.finding.second.name,
        ratio=ratio,
        power=power,
        n_visits=paired.n if paired else 0,
        visits_needed=needed,
        visits_range=None if needed is None else _range(paired, ratio, power),
        pits_needed=_pits_needed(apart.finding, ratio, power),
    )


def _range(paired: Finding | None, ratio: float, power: float) -> tuple[int, int] | None:
    """Return the visits needed if the variance lay at either end of its interval."""
    from scipy.special import chdtri  # noqa: PLC0415 -- kept out of the module's import

    if paired is None or paired.standard_error is None:
        return None
    freedom = paired.n - 1
    limits = []
    for upper_tail in (0.025, 0.975):
        factor = math.sqrt(freedom / float(chdtri(freedom, upper_tail)))
        like = replace(paired, standard_error=paired.standard_error * factor)
        limits.append(paired_visits_needed_like(like, ratio, power) or 0)
    return limits[0], limits[1]


def _pits_needed(apart: Finding, ratio: float, power: float) -> int | None:
    """Return the unpaired pits per side, at the present dispersion and mean of both."""
    samples = (apart.first, apart.second)
    few = min(sample.n_pits for sample in samples) < FEWEST[Unit.PITS]
    if few or not all(sample.total_count for sample in samples):
        return None
    model = fit(samples)
    area_m2 = sum(s.total_area_m2 for s in samples) / sum(s.n_pits for s in samples)
    middle = math.sqrt(math.prod(model.rates_per_m2)) * area_m2
    half = math.sqrt(ratio)
    return pits_needed_per_habitat(middle * half, middle / half, model.alpha, power)
