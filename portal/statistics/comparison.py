"""Comparing the density of two habitats: paired by visit, unpaired, or two single pits.

Paired visits are compared with a fixed effect for each visit, removed by stratifying (Mantel and
Haenszel), and with an error measured between visits by the jackknife. Why not the alternatives:
a negative binomial with one dummy per visit and two pits in each understates its errors, and the
conditional negative binomial does not remove the visit (Allison and Waterman 2002, Fixed-effects
negative binomial regression models, Sociological Methodology 32:247-265); a random visit effect
needs a shape for that effect and enough visits to fit two variances. The ratio used here needs
neither: it is right whatever the visits' own levels and however clumped the counts are.
"""

import math
from dataclasses import replace

from portal.statistics.findings import ALPHA, FEWEST, Finding, Interval, Outcome, Unit
from portal.statistics.negative_binomial import fit
from portal.statistics.rank_tests import permutation_test, signed_rank
from portal.statistics.samples import PitSample

PAIRED = "Mantel-Haenszel rate ratio, fixed visit effects, jackknife over visits, Student t"
UNPAIRED = "negative binomial rate ratio, log area offset, shared dispersion, Student t"
TWO_PITS = "rate ratio of two Poisson counts, exact conditional interval"
NOT_TESTED = "not tested"
NEGLIGIBLE = 1e-9  # of a logarithm: rounding, no difference


def compare_paired(first: PitSample, second: PitSample) -> Finding:
    """Compare two habitats dug on the same visits.

    Ratio: Greenland and Robins 1985, Estimation of a common effect parameter from sparse
    follow-up data, Biometrics 41:55-68. Error: delete-one-visit jackknife of its logarithm
    (Efron and Tibshirani 1993, An Introduction to the Bootstrap, chapter 11), Student's t with
    n - 1 degrees of freedom. In simulation (mean 6, k 2.5, visit sd 0.4) the interval covered 94
    to 95 percent from 6 visits on.

    Parameters
    ----------
    first, second : PitSample
        The two habitats; position i of both is visit i. Several visits to one patch are to be
        summed to the patch first.

    Returns
    -------
    Finding
        Ratio of densities, first over second.

    Raises
    ------
    ValueError
        If the samples differ in their number of visits.
    """
    if first.n_pits != second.n_pits:
        message = f"Pairs need both pits, got {first.n_pits} and {second.n_pits}."
        raise ValueError(message)
    early = _without_ratio(first, second, Unit.VISITS)
    if early:
        return early
    log_ratio, error = _stratified_log_ratio(first, second)
    if error is None:
        return Finding(first, second, Unit.VISITS, NOT_TESTED, Outcome.ONE_VISIT)
    blank = Finding(first, second, Unit.VISITS, PAIRED, Outcome.SPANS_ONE)
    return _judged(blank, log_ratio, error, degrees_of_freedom=first.n_pits - 1)


def compare_unpaired(first: PitSample, second: PitSample) -> Finding:
    """Compare two habitats that were dug on different visits.

    Counts are negative binomial with a log area offset and one dispersion for both.

    Parameters
    ----------
    first, second : PitSample
        The two habitats. Pits count as independent: summarise to the patch first.

    Returns
    -------
    Finding
        Ratio of densities, first over second.
    """
    early = _without_ratio(first, second, Unit.PITS)
    if early:
        return early
    model = fit([first, second])
    log_ratio = math.log(model.rates_per_m2[0] / model.rates_per_m2[1])
    error = math.hypot(*model.log_rate_errors)
    blank = Finding(first, second, Unit.PITS, UNPAIRED, Outcome.SPANS_ONE)
    return _judged(blank, log_ratio, error, degrees_of_freedom=blank.n - 2)


def compare_two_pits(first: PitSample, second: PitSample) -> Finding:
    """Compare two single pits; says nothing of their habitats in general.

    Given the sum of both, the first count is binomial (Przyborowski and Wilenski 1940, Homogeneity
    of results in testing samples from Poisson series, Biometrika 31:313-323); limits are those
    of Clopper and Pearson 1934, Biometrika 26:404-413, and p is twice the smaller tail.

    Parameters
    ----------
    first, second : PitSample
        One pit each.

    Returns
    -------
    Finding
        Ratio of densities, first over second.

    Raises
    ------
    ValueError
        If a sample holds more than one pit.
    """
    if first.n_pits != 1 or second.n_pits != 1:
        message = f"Two single pits are compared here, got {first.n_pits} and {second.n_pits}."
        raise ValueError(message)
    if first.total_count + second.total_count == 0:
        return Finding(first, second, Unit.TWO_PITS, NOT_TESTED, Outcome.NOTHING_FOUND)
    interval, p_value = _conditional(first, second)
    one_side = 0 in {first.total_count, second.total_count}
    unclear = Outcome.ONE_SIDE if one_side else Outcome.SPANS_ONE
    return Finding(
        first,
        second,
        Unit.TWO_PITS,
        TWO_PITS,
        outcome=Outcome.CLEAR if p_value < ALPHA else unclear,
        ratio=None if one_side else first.per_m2 / second.per_m2,
        interval=interval,
        p_value=p_value,
    )


def _without_ratio(first: PitSample, second: PitSample, unit: Unit) -> Finding | None:
    """Return the finding when no ratio can be had: nothing, too few, or one side empty."""
    if first.total_count + second.total_count == 0:
        return Finding(first, second, unit, NOT_TESTED, Outcome.NOTHING_FOUND)
    if min(first.n_pits, second.n_pits) < FEWEST[unit]:
        return Finding(first, second, unit, NOT_TESTED, Outcome.TOO_FEW)
    if first.total_count and second.total_count:
        return None
    densities = [
        [count / area for count, area in zip(sample.counts, sample.areas_m2, strict=True)]
        for sample in (first, second)
    ]
    p_value, method = _model_free_p(densities[0], densities[1], unit)
    outcome = Outcome.CLEAR if p_value < ALPHA else Outcome.ONE_SIDE
    return Finding(first, second, unit, method, outcome, p_value=p_value)


def _model_free_p(first: list[float], second: list[float], unit: Unit) -> tuple[float, str]:
    """Return two-sided p and its method where a model has no estimate."""
    if unit is Unit.VISITS:
        ranks = signed_rank([a - b for a, b in zip(first, second, strict=True)])
        return (ranks.p_two_sided, ranks.method) if ranks else (1.0, NOT_TESTED)
    test = permutation_test(first, second)
    return test.p_two_sided, test.method


def _stratified_log_ratio(first: PitSample, second: PitSample) -> tuple[float, float | None]:
    """Return the log of the Mantel-Haenszel rate ratio and its jackknife error.

    With equal areas the ratio is that of the sums of counts. The error is None when the animals
    of one side came from a single visit.
    """
    areas = list(zip(first.areas_m2, second.areas_m2, strict=True))
    above = [n * b / (a + b) for n, (a, b) in zip(first.counts, areas, strict=True)]
    below = [n * a / (a + b) for n, (a, b) in zip(second.counts, areas, strict=True)]
    top, bottom, n = sum(above), sum(below), len(areas)
    left_out = [(top - a, bottom - b) for a, b in zip(above, below, strict=True)]
    if min(min(pair) for pair in left_out) <= 0:
        return math.log(top / bottom), None
    logs = [math.log(a / b) for a, b in left_out]
    spread = sum((log - sum(logs) / n) ** 2 for log in logs)
    return math.log(top / bottom), math.sqrt((n - 1) / n * spread)


def _judged(blank: Finding, log_ratio: float, error: float, *, degrees_of_freedom: int) -> Finding:
    """Return the finding with interval, p and verdict by Student's t."""
    from scipy.special import stdtr, stdtrit  # noqa: PLC0415 -- kept out of the module's import

    reach = error * float(stdtrit(degrees_of_freedom, 1 - ALPHA / 2))
    if error > NEGLIGIBLE:
        p_value = 2 * float(stdtr(degrees_of_freedom, -abs(log_ratio) / error))
    else:  # every visit says the same: that both are equal, or that they differ
        p_value = float(abs(log_ratio) <= NEGLIGIBLE)
    return replace(
        blank,
        outcome=Outcome.CLEAR if p_value < ALPHA else Outcome.SPANS_ONE,
        ratio=math.exp(log_ratio),
        interval=(math.exp(log_ratio - reach), math.exp(log_ratio + reach)),
        standard_error=error,
        p_value=p_value,
    )


def _conditional(first: PitSample, second: PitSample) -> tuple[Interval, float]:
    """Return exact limits of the rate ratio and two-sided p, given the sum of both counts."""
    from scipy.special import bdtr, bdtrc, betaincinv  # noqa: PLC0415 -- as above

    count, other = first.total_count, second.total_count
    total, scale = count + other, second.total_area_m2 / first.total_area_m2
    share = 1 / (1 + scale)
    p_low = float(betaincinv(count, other + 1, ALPHA / 2)) if count else 0.0
    p_high = float(betaincinv(count + 1, other, 1 - ALPHA / 2)) if other else None
    as_many = float(bdtrc(count - 1, total, share)) if count else 1.0
    as_few = float(bdtr(count, total, share))
    lower = p_low / (1 - p_low) * scale
    upper = p_high / (1 - p_high) * scale if p_high else None
    return (lower, upper), min(1.0, 2 * min(as_many, as_few))
