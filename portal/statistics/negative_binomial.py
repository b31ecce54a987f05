"""The negative binomial model of clumped counts, with the area dug as offset.

Variance = mu + alpha * mu^2, so alpha = 1 / k (Bliss and Fisher 1953, Fitting the negative
binomial distribution to biological data, Biometrics 9:176-200). Each sample has its own rate,
all share one alpha. For a given alpha the rates have one solution each, so the likelihood is
searched over alpha alone and the fit cannot fail to converge.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from portal.statistics.samples import Sample

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Arrays = tuple[Array, Array, Array]  # counts, areas, and how many pits have them

MIN_ALPHA = 1e-6  # below this a count is as good as Poisson
MAX_ALPHA = 1e3
GRID_POINTS = 25


@dataclass(frozen=True)
class NegativeBinomialFit:
    """Maximum-likelihood estimates.

    Parameters
    ----------
    rates_per_m2 : tuple of float
        Density of each sample [1/m2], in the order given.
    log_rate_errors : tuple of float
        Standard error of the natural logarithm of each rate.
    alpha : float
        Dispersion shared by the samples; 0 when the counts are not clumped.
    log_likelihood : float
        Natural logarithm of the likelihood.
    """

    rates_per_m2: tuple[float, ...]
    log_rate_errors: tuple[float, ...]
    alpha: float
    log_likelihood: float


@dataclass(frozen=True)
class Clumping:
    """How unevenly animals lie: `k` is the negative binomial exponent, None if not clumped."""

    n_pits: int
    mean_per_pit: float
    variance_to_mean: float | None
    k: float | None


def fit(samples: Sequence[Sample]) -> NegativeBinomialFit:
    """Fit one rate per sample and one shared dispersion by maximum likelihood.

    Standard errors come from the observed information; rates and dispersion are taken as
    uncorrelated, which holds for this model (Lawless 1987, Negative binomial and mixed Poisson
    regression, Canadian Journal of Statistics 15:209-225).

    Parameters
    ----------
    samples : sequence of PitSample or AlikePits
        At least one sample; each must hold at least one animal.

    Returns
    -------
    NegativeBinomialFit
        Rates [1/m2], errors of log rates, dispersion and log-likelihood.

    Raises
    ------
    ValueError
        If a sample holds no animal: its log rate has no estimate.
    """
    import numpy as np  # noqa: PLC0415 -- kept out of the import of the module

    empty = [sample.name for sample in samples if sample.total_count == 0]
    if empty:
        message = f"A rate cannot be fitted where nothing was found: {', '.join(empty)}."
        raise ValueError(message)
    arrays = [
        (
            np.asarray(sample.counts, float),
            np.asarray(sample.areas_m2, float),
            np.asarray(sample.repeats, float),
        )
        for sample in samples
    ]
    alpha = _best_alpha(arrays)
    rates = [_rate(pits, alpha) for pits in arrays]
    errors = [_log_rate_error(pits, rate, alpha) for pits, rate in zip(arrays, rates, strict=True)]
    return NegativeBinomialFit(
        rates_per_m2=tuple(rates),
        log_rate_errors=tuple(errors),
        alpha=alpha if alpha > MIN_ALPHA else 0.0,
        log_likelihood=_profile(arrays, alpha),
    )


def describe_clumping(sample: Sample) -> Clumping:
    """Return mean, variance-to-mean ratio and k of counts per pit.

    The ratio is 1 for animals thrown at random and above 1 for clumped ones (Elliott 1977, Some
    methods for the statistical analysis of samples of benthic invertebrates).
    """
    mean = sample.total_count / sample.n_pits
    if mean == 0 or sample.n_pits == 1:
        return Clumping(sample.n_pits, mean, None, None)
    squares = sum(
        n * (count - mean) ** 2 for count, n in zip(sample.counts, sample.repeats, strict=True)
    )
    alpha = fit([sample]).alpha
    return Clumping(
        n_pits=sample.n_pits,
        mean_per_pit=mean,
        variance_to_mean=squares / (sample.n_pits - 1) / mean,
        k=1 / alpha if alpha else None,
    )


def is_clumped(sample: Sample) -> bool:
    """Tell whether counts vary more than Poisson counts of those areas would.

    Pearson's chi-squared over its degrees of freedom is above 1 (McCullagh and Nelder 1989,
    Generalized Linear Models, 2nd ed., section 6.2.3).
    """
    if sample.total_count == 0:
        return False
    rate = sample.per_m2
    expected = [area * rate for area in sample.areas_m2]
    pearson = sum(
        n * (count - mu) ** 2 / mu
        for count, mu, n in zip(sample.counts, expected, sample.repeats, strict=True)
    )
    return pearson > sample.n_pits - 1


def _best_alpha(arrays: "list[Arrays]") -> float:
    """Return the dispersion of highest likelihood: a coarse grid, then a bounded search."""
    import numpy as np  # noqa: PLC0415 -- kept out of the import of the module
    from scipy.optimize import minimize_scalar  # noqa: PLC0415 -- as above

    grid = np.linspace(math.log(MIN_ALPHA), math.log(MAX_ALPHA), GRID_POINTS)
    heights = [_profile(arrays, math.exp(point)) for point in grid]
    best = int(np.argmax(heights))
    if best == 0:
        return MIN_ALPHA
    found = minimize_scalar(
        lambda point: -_profile(arrays, math.exp(point)),
        bounds=(grid[best - 1], grid[min(best + 1, GRID_POINTS - 1)]),
        method="bounded",
        options={"xatol": 1e-8},
    )
    return math.exp(found.x)


def _profile(arrays: "list[Arrays]", alpha: float) -> float:
    """Return the log-likelihood at a dispersion, each sample at its best rate."""
    return sum(_log_likelihood(pits, _rate(pits, alpha), alpha) for pits in arrays)


def _rate(pits: "Arrays", alpha: float) -> float:
    """Return the rate that solves the score equation; the score falls steadily, so one root."""
    from scipy.optimize import brentq  # noqa: PLC0415 -- kept out of the import of the module

    counts, areas, repeats = pits
    if areas.min() == areas.max():
        return float((repeats * counts).sum() / (repeats * areas).sum())

    def score(rate: float) -> float:
        expected = rate * areas
        return float((repeats * (counts - expected) / (1 + alpha * expected)).sum())

    return float(brentq(score, 0.0, float((counts / areas).max()), xtol=1e-12))


def _log_likelihood(pits: "Arrays", rate: float, alpha: float) -> float:
    """Return the negative binomial log-likelihood of counts at a rate."""
    import numpy as np  # noqa: PLC0415 -- kept out of the import of the module
    from scipy.special import gammaln  # noqa: PLC0415 -- as above

    counts, areas, repeats = pits
    k, expected = 1 / alpha, areas * rate
    terms = (
        gammaln(counts + k)
        - gammaln(k)
        - gammaln(counts + 1)
        + k * np.log(k / (k + expected))
        + counts * np.log(expected / (k + expected))
    )
    return float((repeats * terms).sum())


def _log_rate_error(pits: "Arrays", rate: float, alpha: float) -> float:
    """Return the standard error of a log rate from the observed information."""
    counts, areas, repeats = pits
    expected = areas * rate
    information = expected * (1 + alpha * counts) / (1 + alpha * expected) ** 2
    return float((repeats * information).sum() ** -0.5)
