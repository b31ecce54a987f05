"""Richness and diversity of one sample of animals named to species or group."""

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Diversity:
    """Indices of one sample; `unit` says of what, since group diversity is not species diversity.

    Parameters
    ----------
    unit : str
        What was told apart: "species", "ecological group".
    n, richness : int
        Animals named, and kinds among them.
    shannon : float
        -sum p ln p [nat] (Shannon 1948, A mathematical theory of communication).
    simpson : float
        sum p^2, the dominance (Simpson 1949, Measurement of diversity, Nature 163:688).
    gini_simpson, gini_simpson_unbiased : float
        1 - sum p^2, and 1 - sum n_i (n_i - 1) / (n (n - 1)); the latter None for one animal.
    hill_1, hill_2 : float
        Effective numbers of kinds of order 1 and 2; order 0 is the richness (Hill 1973,
        Diversity and evenness, Ecology 54:427-432; Jost 2006, Entropy and diversity, Oikos
        113:363-375).
    pielou : float or None
        Evenness H / ln S (Pielou 1966); None for one kind.
    chao1_bias_corrected : float
        Lower bound of richness, S + f1 (f1 - 1) / (2 (f2 + 1)) (Chao 1987, Estimating the
        population size for capture-recapture data, Biometrics 43:783-791).
    chao1_finite_n : float
        S + (n - 1)/n f1^2 / (2 f2), or with f1 (f1 - 1) / 2 when f2 is 0 (Chao 1984; small-sample
        factor as in Chao et al. 2014, Ecological Monographs 84:45-67).
    good_coverage : float
        1 - f1 / n (Good 1953, The population frequencies of species, Biometrika 40:237-264).
    chao_jost_coverage : float
        Coverage with f2 taken in (Chao and Jost 2012, Coverage-based rarefaction and
        extrapolation, Ecology 93:2533-2547).
    """

    unit: str
    n: int
    richness: int
    shannon: float
    simpson: float
    gini_simpson: float
    gini_simpson_unbiased: float | None
    hill_1: float
    hill_2: float
    pielou: float | None
    chao1_bias_corrected: float
    chao1_finite_n: float
    good_coverage: float
    chao_jost_coverage: float


def describe_diversity(counts: Sequence[int], unit: str) -> Diversity | None:
    """Return the indices of a sample.

    Parameters
    ----------
    counts : sequence of int
        Animals of each kind; juveniles without a name are left out before.
    unit : str
        What was told apart, for the label.

    Returns
    -------
    Diversity or None
        None when the sample is empty: it has no index, not an index of zero.
    """
    present = _present(counts)
    if not present:
        return None
    n, richness = sum(present), len(present)
    shannon, simpson = _shannon(present), _simpson(present)
    same_pairs = sum(count * (count - 1) for count in present)
    return Diversity(
        unit=unit,
        n=n,
        richness=richness,
        shannon=shannon,
        simpson=simpson,
        gini_simpson=1 - simpson,
        gini_simpson_unbiased=1 - same_pairs / (n * (n - 1)) if n > 1 else None,
        hill_1=math.exp(shannon),
        hill_2=1 / simpson,
        pielou=shannon / math.log(richness) if richness > 1 else None,
        chao1_bias_corrected=richness + _unseen_bias_corrected(present),
        chao1_finite_n=richness + _unseen_finite_n(present),
        good_coverage=1 - present.count(1) / n,
        chao_jost_coverage=_chao_jost_coverage(present),
    )


def hill_number(counts: Sequence[int], order: float) -> float | None:
    """Return the effective number of kinds of any order of 0 or more.

    (sum p^q)^(1 / (1 - q)), and exp(H) at q = 1 (Hill 1973).

    Parameters
    ----------
    counts : sequence of int
        Animals of each kind.
    order : float
        q, 0 or more; the higher, the less rare kinds weigh.

    Returns
    -------
    float or None
        None when the sample is empty.

    Raises
    ------
    ValueError
        If the order is below 0.
    """
    if order < 0:
        message = f"A Hill number has an order of 0 or more, got {order}."
        raise ValueError(message)
    present = _present(counts)
    if not present:
        return None
    if order == 1:
        return math.exp(_shannon(present))
    n = sum(present)
    return float(sum((count / n) ** order for count in present) ** (1 / (1 - order)))


def rarefied_richness(counts: Sequence[int], n_drawn: int) -> float:
    """Return the kinds expected in a smaller draw from the sample.

    sum 1 - C(n - n_i, m) / C(n, m) (Hurlbert 1971, The nonconcept of species diversity, Ecology
    52:577-586), by log-gamma so that large samples do not overflow.

    Parameters
    ----------
    counts : sequence of int
        Animals of each kind.
    n_drawn : int
        m, animals drawn, from 1 to the number in the sample.

    Returns
    -------
    float
        Expected number of kinds.

    Raises
    ------
    ValueError
        If more animals are to be drawn than were found, or fewer than one.
    """
    present = _present(counts)
    n = sum(present)
    if not 1 <= n_drawn <= n:
        message = f"From {n} animals 1 to {n} can be drawn, got {n_drawn}: no extrapolation."
        raise ValueError(message)
    all_draws = _log_choose(n, n_drawn)
    missed = (
        math.exp(_log_choose(n - count, n_drawn) - all_draws)
        for count in present
        if n - count >= n_drawn
    )
    return len(present) - sum(missed)


def _present(counts: Sequence[int]) -> list[int]:
    """Return the counts above zero.

    Raises
    ------
    ValueError
        If a count is negative or not whole.
    """
    for count in counts:
        if count != int(count) or count < 0:
            message = f"A count is a whole number of 0 or more, got {count}."
            raise ValueError(message)
    return [int(count) for count in counts if count]


def _shannon(present: list[int]) -> float:
    n = sum(present)
    return -sum(count / n * math.log(count / n) for count in present) + 0.0


def _simpson(present: list[int]) -> float:
    n = sum(present)
    return sum((count / n) ** 2 for count in present)


def _unseen_bias_corrected(present: list[int]) -> float:
    singles, doubles = present.count(1), present.count(2)
    return singles * (singles - 1) / (2 * (doubles + 1))


def _unseen_finite_n(present: list[int]) -> float:
    n, singles, doubles = sum(present), present.count(1), present.count(2)
    unseen = singles**2 / (2 * doubles) if doubles else singles * (singles - 1) / 2
    return (n - 1) / n * unseen


def _chao_jost_coverage(present: list[int]) -> float:
    """Return the coverage; without doubletons and with several singletons f1 - 1 and 1 stand in."""
    n, singles, doubles = sum(present), present.count(1), present.count(2)
    if singles == 0:
        return 1.0
    if doubles == 0 and singles == 1:
        return 1 - 1 / n
    weight = (n - 1) * (singles if doubles else singles - 1)
    return 1 - singles / n * weight / (weight + 2 * (doubles or 1))


def _log_choose(n: int, m: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(m + 1) - math.lgamma(n - m + 1)
