"""Where one further pit would narrow what is known most: by published cell and habitat."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

from portal.statistics.coarse_words import is_coarse
from portal.statistics.density import MIN_PITS_FOR_CLUMPING
from portal.statistics.negative_binomial import fit
from portal.statistics.samples import PitSample
from portal.statistics.tallies import PitTally

Z = NormalDist().inv_cdf(0.975)
MOST_TOLD = 100
HALF_AN_ANIMAL = 0.5  # project judgement: stands for nothing found, whose rate has no logarithm
NO_PLACE = "place not shown"
NO_CELL = "root"
COARSE_HABITAT = "habitat told coarsely"
TOO_FEW = f"fewer than {MIN_PITS_FOR_CLUMPING} pits of the kit and steps"
FORMULA = (
    "gain = width(pits) - width(pits and one more); width = 2 x 1.96 x sqrt(sum(mu + alpha mu^2)) "
    "/ sum(mu), that of the 95 percent interval of the natural logarithm of the density. mu of a "
    "pit = its area x the density of its habitat over all cells; alpha = negative binomial "
    "dispersion, fitted over all habitats; both for each kit and steps apart. The further pit has "
    "the mean area of the present ones. Where a habitat holds no animal, half of one is put in."
)


@dataclass(frozen=True)
class FurtherPit:
    """What one further pit in a cell and habitat would bring.

    Parameters
    ----------
    cell, habitat, kit, steps : str
        Where, and how dug and sorted.
    latitude, longitude : float
        Centre of the published cell.
    n_pits : int
        Pits there now.
    width_now, width_then : float
        Natural logarithm of upper over lower limit, with the present pits and with one more.
    """

    cell: str
    habitat: str
    kit: str
    steps: str
    latitude: float
    longitude: float
    n_pits: int
    width_now: float
    width_then: float

    @property
    def gain(self) -> float:
        """Return by how much the interval of the log density narrows."""
        return self.width_now - self.width_then

    @property
    def sentence(self) -> str:
        """Return the gain in plain words."""
        return (
            f"{self.habitat} in cell {self.cell}: one pit more than the present {self.n_pits} "
            f"would bring the upper limit from {_factor(self.width_now)} to "
            f"{_factor(self.width_then)} times the lower."
        )


@dataclass(frozen=True)
class Ranking:
    """Cells and habitats by gain, the largest first, and pits left out by reason."""

    ranked: tuple[FurtherPit, ...]
    left_out: dict[str, int]


def rank_further_pits(pits: Iterable[PitTally]) -> Ranking:
    """Rank cells and habitats by what one further pit would bring there.

    Parameters
    ----------
    pits : iterable of PitTally
        Usable pits of the chosen counts.

    Returns
    -------
    Ranking
        Every cell and habitat with a pit, for each kit and steps apart.
    """
    strata: dict[tuple[str, str], list[PitTally]] = defaultdict(list)
    left_out: Counter[str] = Counter()
    for pit in sorted(pits, key=lambda pit: pit.key):
        if pit.traits["cell"] == NO_CELL:
            left_out[NO_PLACE] += 1
        elif is_coarse(pit.traits["habitat"], "habitat"):
            left_out[COARSE_HABITAT] += 1
        else:
            strata[pit.kit, pit.steps].append(pit)
    ranked: list[FurtherPit] = []
    for stratum in strata.values():
        if len(stratum) < MIN_PITS_FOR_CLUMPING:
            left_out[TOO_FEW] += len(stratum)
        else:
            ranked += _of_stratum(stratum)
    ranked.sort(key=lambda one: (-one.gain, one.cell, one.habitat, one.kit, one.steps))
    return Ranking(tuple(ranked), dict(sorted(left_out.items())))


def log_width(expected: Iterable[float], alpha: float) -> float:
    """Return the width of the 95 percent interval of a log density.

    Parameters
    ----------
    expected : iterable of float
        Animals expected in each pit.
    alpha : float
        Dispersion, 1 / k.
    """
    means = list(expected)
    variance = sum(mean + alpha * mean**2 for mean in means) / sum(means) ** 2
    return 2 * Z * math.sqrt(variance)


def _of_stratum(pits: list[PitTally]) -> list[FurtherPit]:
    habitats, places = defaultdict(list), defaultdict(list)
    for pit in pits:
        habitats[pit.traits["habitat"]].append(pit)
        places[pit.traits["cell"], pit.traits["habitat"]].append(pit)
    samples = {habitat: _sample(habitat, dug) for habitat, dug in habitats.items()}
    found = [sample for sample in samples.values() if sample.total_count]
    alpha = fit(found).alpha if found else 0.0
    area_m2 = sum(pit.area_m2 for pit in pits) / len(pits)
    return [
        _further(dug, _rate(samples[habitat]), alpha, area_m2)
        for (_, habitat), dug in places.items()
    ]


def _further(dug: list[PitTally], rate_per_m2: float, alpha: float, area_m2: float) -> FurtherPit:
    traits = dug[0].traits
    expected = [pit.area_m2 * rate_per_m2 for pit in dug]
    return FurtherPit(
        cell=traits["cell"],
        habitat=traits["habitat"],
        kit=dug[0].kit,
        steps=dug[0].steps,
        latitude=float(traits["latitude"]),
        longitude=float(traits["longitude"]),
        n_pits=len(dug),
        width_now=log_width(expected, alpha),
        width_then=log_width([*expected, area_m2 * rate_per_m2], alpha),
    )


def _sample(habitat: str, pits: list[PitTally]) -> PitSample:
    return PitSample(habitat, tuple(pit.number for pit in pits), tuple(pit.area_m2 for pit in pits))


def _rate(sample: PitSample) -> float:
    return (sample.total_count or HALF_AN_ANIMAL) / sample.total_area_m2


def _factor(width: float) -> str:
    told = width < math.log(MOST_TOLD)
    return f"{math.exp(width):.1f}" if told else f"over {MOST_TOLD}"
