"""How many visits or pits a contrast needs before it can be shown.

All numbers of visits rest on the variance that one more visit adds to the logarithm of the rate
ratio, V, and on n = (z_alpha + z_power)^2 V / ln(ratio)^2 (Wald test of a log rate ratio; Zhu
and Lakkis 2014, Sample size calculation for comparing two negative binomial rates, Statistics in
Medicine 33:376-387).
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

from portal.statistics.findings import ALPHA, Finding, Unit

POWER = 0.80
NORMAL = NormalDist()
Z_ALPHA = NORMAL.inv_cdf(1 - ALPHA / 2)


@dataclass(frozen=True)
class PairedDesign:
    """What counts are like where two habitats are dug on each visit.

    Parameters
    ----------
    mean_per_pit : float
        Geometric mean of the two habitats' animals per pit.
    alpha : float
        Dispersion of pits within a visit and habitat, 1 / k.
    visit_variance : float
        Relative variance of what both pits of a visit share, 0 when all visits are alike.
    """

    mean_per_pit: float
    alpha: float
    visit_variance: float = 0.0

    def log_ratio_variance(self, ratio: float) -> float:
        """Return what one visit contributes to n times the variance of the log rate ratio.

        For the ratio of sums of counts v * mu_1 and v * mu_2 with a shared visit factor v of mean
        1 (delta method): 1/mu_1 + 1/mu_2 + 2 alpha (1 + visit variance).
        """
        half = math.exp(_log_of(ratio) / 2)
        dispersion = self.alpha * (1 + self.visit_variance)
        return _variance(self.mean_per_pit * half, self.mean_per_pit / half, dispersion)


def visit_variance(*log_sds: float) -> float:
    """Return the relative variance of a factor whose logarithm is a sum of normal effects.

    exp(sum of sd^2) - 1, the squared coefficient of variation of a lognormal variable (Aitchison
    and Brown 1957, The Lognormal Distribution).

    Parameters
    ----------
    *log_sds : float
        Standard deviations on the natural log scale, such as of persons and of visits.
    """
    return math.expm1(sum(sd**2 for sd in log_sds))


def paired_visits_needed(design: PairedDesign, ratio: float, power: float = POWER) -> int:
    """Return the paired visits needed to show a ratio at a two-sided 5 percent.

    To the formula of this module, z_alpha^2 / 2 is added for Student's t (Guenther 1981, Sample
    size formulas for normal theory t tests, The American Statistician 35:243-244).

    Parameters
    ----------
    design : PairedDesign
        What counts are like.
    ratio : float
        Ratio of densities to be shown, above 0 and not 1.
    power : float
        Probability of showing it, between 0 and 1.

    Returns
    -------
    int
        Visits, rounded up.
    """
    return _visits(design.log_ratio_variance(ratio), ratio, power)


def paired_power(design: PairedDesign, ratio: float, n_visits: int) -> float:
    """Return the probability that so many paired visits show a ratio."""
    usable = n_visits - Z_ALPHA**2 / 2
    if usable <= 0:
        return 0.0
    return _wald_power(design.log_ratio_variance(ratio) / usable, ratio)


def paired_visits_needed_like(finding: Finding, ratio: float, power: float = POWER) -> int | None:
    """Return the paired visits needed if later visits vary as those already dug do.

    Parameters
    ----------
    finding : Finding
        A paired comparison; its standard error holds the present variance.
    ratio : float
        Ratio of densities to be shown, above 0 and not 1.
    power : float
        Probability of showing it, between 0 and 1.

    Returns
    -------
    int or None
        Visits, rounded up; None when the finding is not paired or has no standard error.
    """
    if finding.unit is not Unit.VISITS or finding.standard_error is None:
        return None
    return _visits(finding.n * finding.standard_error**2, ratio, power)


def pits_needed_per_habitat(
    mean_first: float, mean_second: float, alpha: float, power: float = POWER
) -> int:
    """Return the unpaired pits per habitat needed to tell two means apart.

    V = 1/mu_1 + 1/mu_2 + 2 alpha. `alpha` is the dispersion between all pits, so it holds what
    visits and people add: (1 + alpha within) (1 + visit variance) - 1.

    Parameters
    ----------
    mean_first, mean_second : float
        Mean animals per pit, above 0 and different.
    alpha : float
        Dispersion between pits, 1 / k.
    power : float
        Probability of showing the difference, between 0 and 1.

    Returns
    -------
    int
        Pits in each habitat, rounded up.
    """
    variance = _variance(mean_first, mean_second, alpha)
    return math.ceil(_observations(variance, mean_first / mean_second, power))


def power_per_habitat(mean_first: float, mean_second: float, alpha: float, n_pits: int) -> float:
    """Return the probability that so many unpaired pits per habitat show the difference."""
    variance = _variance(mean_first, mean_second, alpha)
    return _wald_power(variance / n_pits, mean_first / mean_second)


def pits_for_precision(mean_per_pit: float, k: float, half_width: float) -> int:
    """Return the pits that bring the 95 percent interval within a share of the mean.

    n = (1.96 / D)^2 (1/mu + 1/k) (Elliott 1977, Some methods for the statistical analysis of
    samples of benthic invertebrates).

    Parameters
    ----------
    mean_per_pit : float
        Mean animals per pit.
    k : float
        Negative binomial exponent.
    half_width : float
        D, half the interval as a fraction of the mean, 0.2 for 20 percent.

    Returns
    -------
    int
        Pits, rounded up.
    """
    return math.ceil((Z_ALPHA / half_width) ** 2 * (1 / mean_per_pit + 1 / k))


def _visits(variance: float, ratio: float, power: float) -> int:
    return math.ceil(_observations(variance, ratio, power) + Z_ALPHA**2 / 2)


def _observations(variance: float, ratio: float, power: float) -> float:
    """Return the observations needed, before rounding."""
    quantiles = Z_ALPHA + NORMAL.inv_cdf(power)
    return quantiles**2 * variance / _log_of(ratio) ** 2


def _wald_power(variance_of_log_ratio: float, ratio: float) -> float:
    """Return the power of the two-sided Wald test, the far tail left out."""
    return NORMAL.cdf(abs(_log_of(ratio)) / math.sqrt(variance_of_log_ratio) - Z_ALPHA)


def _variance(mean_first: float, mean_second: float, alpha: float) -> float:
    """Return what one observation of each habitat adds to n times the variance of a log ratio.

    Raises
    ------
    ValueError
        If a mean is not above 0.
    """
    if min(mean_first, mean_second) <= 0:
        message = f"Means per pit are above 0, got {mean_first} and {mean_second}."
        raise ValueError(message)
    return 1 / mean_first + 1 / mean_second + 2 * alpha


def _log_of(ratio: float) -> float:
    """Return the log of a ratio; refuse one that no number of pits can show.

    Raises
    ------
    ValueError
        If the ratio is 1 or not above 0.
    """
    if ratio <= 0 or ratio == 1:
        message = f"A ratio to be shown is above 0 and not 1, got {ratio}."
        raise ValueError(message)
    return math.log(ratio)
