"""How far people agree on groups: proportions, confusion, kappa, and a recorder's reliability."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

MIN_VERIFIED = 5  # project rule: nothing is said of a recorder on fewer
NOT_ENOUGH = "not enough yet"
OFTEN_RIGHT = 0.7  # project judgement: field samplers mislabel 28 percent (Hoeffner et al. 2025)
LARGE_SAMPLE = "large-sample error (Fleiss, Cohen and Everitt 1969)"
ALL_AGREED = "all agreed: Wilson limits of the agreement, chance agreement as observed"
ONE_LABEL = "undefined: both used one label only"

Matrix = dict[str, dict[str, int]]  # true or first label, then written or second label


@dataclass(frozen=True)
class Proportion:
    """A share with its 95 percent interval by Wilson's score method."""

    hits: int
    n: int
    share: float
    lower: float
    upper: float


@dataclass(frozen=True)
class Kappa:
    """Agreement beyond chance.

    Parameters
    ----------
    n : int
        Animals or pits labelled by both.
    kappa : float or None
        Cohen's kappa, 1 for full agreement and 0 for chance; None when it cannot be had.
    lower, upper : float or None
        95 percent interval.
    method : str
        How the interval was made, or why there is none.
    """

    n: int
    kappa: float | None
    lower: float | None
    upper: float | None
    method: str


@dataclass(frozen=True)
class Reliability:
    """How often a recorder's verified records were right; for the person and coordinator only.

    Parameters
    ----------
    n_verified : int
        Verified pits.
    right : Proportion or None
        Share right; None below five verified pits.
    band : str
        "not enough yet", "often right", "mixed" or "often changed": all that may be exported.
    """

    n_verified: int
    right: Proportion | None
    band: str


def proportion(hits: int, n: int) -> Proportion:
    """Return a share with its interval.

    Wilson 1927, Probable inference, the law of succession, and statistical inference, Journal of
    the American Statistical Association 22:209-212; recommended for small n by Newcombe 1998,
    Statistics in Medicine 17:857-872. Serves detection (found of those planted) as well.

    Parameters
    ----------
    hits, n : int
        Successes and trials.

    Returns
    -------
    Proportion
        Share and limits, from 0 to 1.

    Raises
    ------
    ValueError
        If there is no trial, or hits lie outside 0 to n.
    """
    from statsmodels.stats.proportion import proportion_confint  # noqa: PLC0415 -- slow to load

    if n < 1 or not 0 <= hits <= n:
        message = f"A share needs trials, and hits from 0 to their number; got {hits} of {n}."
        raise ValueError(message)
    lower, upper = proportion_confint(hits, n, method="wilson")
    return Proportion(hits, n, hits / n, float(lower), float(upper))


def confusion_matrix(pairs: Iterable[tuple[str, str]], labels: Sequence[str]) -> Matrix:
    """Return how often each true (or first) label was written (or second) as each label.

    Parameters
    ----------
    pairs : iterable of tuple of str
        True and written label of each animal, or those of two verifiers.
    labels : sequence of str
        All labels, in the order wanted.

    Returns
    -------
    dict of dict of int
        Counts by first label, then second; zeros included.

    Raises
    ------
    ValueError
        If a pair holds another label.
    """
    tally = Counter(pairs)
    strange = {label for pair in tally for label in pair} - set(labels)
    if strange:
        message = f"Labels are {', '.join(labels)}, got {', '.join(sorted(strange))}."
        raise ValueError(message)
    return {first: {second: tally[first, second] for second in labels} for first in labels}


def right_by_group(matrix: Matrix) -> dict[str, Proportion | None]:
    """Return the share written right of each true group; None where there was none of it."""
    return {
        label: proportion(row[label], sum(row.values())) if any(row.values()) else None
        for label, row in matrix.items()
    }


def cohen_kappa(matrix: Matrix) -> Kappa:
    """Return Cohen's kappa with a 95 percent interval.

    Cohen 1960, A coefficient of agreement for nominal scales, Educational and Psychological
    Measurement 20:37-46; error by Fleiss, Cohen and Everitt 1969, Psychological Bulletin
    72:323-327. That error is zero when all agreed, so limits then come from Wilson's limits of
    the agreement (project choice). Below five cases nothing is said.

    Parameters
    ----------
    matrix : dict of dict of int
        Square table of two labellers, as `confusion_matrix` gives.

    Returns
    -------
    Kappa
        Estimate, limits and method.
    """
    n = sum(sum(row.values()) for row in matrix.values())
    if n < MIN_VERIFIED:
        return Kappa(n, None, None, None, NOT_ENOUGH)
    agreed = sum(row[label] for label, row in matrix.items())
    by_chance = _chance_agreement(matrix, n)
    if by_chance == 1:
        return Kappa(n, None, None, None, ONE_LABEL)
    if agreed == n:
        lowest = (proportion(agreed, n).lower - by_chance) / (1 - by_chance)
        return Kappa(n, 1.0, lowest, 1.0, ALL_AGREED)
    return _large_sample_kappa(matrix, n)


def cohen_kappa_of(matrix: Matrix, label: str) -> Kappa:
    """Return kappa for one label against all others together."""
    others = [other for other in matrix if other != label]
    row = matrix[label]
    merged = {
        label: {label: row[label], "other": sum(row[other] for other in others)},
        "other": {
            label: sum(matrix[other][label] for other in others),
            "other": sum(matrix[first][second] for first in others for second in others),
        },
    }
    return cohen_kappa(merged)


def recorder_reliability(n_right: int, n_verified: int) -> Reliability:
    """Return how often a recorder was right, or "not enough yet" below five verified pits.

    Parameters
    ----------
    n_right, n_verified : int
        Verified pits whose groups stood, and all verified pits.

    Returns
    -------
    Reliability
        Share with interval, and a band that depends on the whole interval.
    """
    if n_verified < MIN_VERIFIED:
        return Reliability(n_verified, None, NOT_ENOUGH)
    right = proportion(n_right, n_verified)
    if right.lower >= OFTEN_RIGHT:
        return Reliability(n_verified, right, "often right")
    band = "often changed" if right.upper < OFTEN_RIGHT else "mixed"
    return Reliability(n_verified, right, band)


def _chance_agreement(matrix: Matrix, n: int) -> float:
    """Return the agreement of two labellers who draw from their own totals."""
    return (
        sum(
            sum(row.values()) * sum(other[label] for other in matrix.values())
            for label, row in matrix.items()
        )
        / n**2
    )


def _large_sample_kappa(matrix: Matrix, n: int) -> Kappa:
    """Return kappa with limits from its large-sample error, kept within -1 to 1."""
    import numpy as np  # noqa: PLC0415 -- slow to load
    from statsmodels.stats.inter_rater import cohens_kappa  # noqa: PLC0415 -- as above

    table = [list(row.values()) for row in matrix.values()]
    with np.errstate(all="ignore"):  # a label nobody used divides 0 by 0 in a test not read here
        result = cohens_kappa(table)
    lower, upper = max(-1.0, float(result.kappa_low)), min(1.0, float(result.kappa_upp))
    return Kappa(n, float(result.kappa), lower, upper, LARGE_SAMPLE)
