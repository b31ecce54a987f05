"""Two sets of pits compared, once for each kit and steps, with what was left out and why."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from portal.statistics.comparison import compare_paired, compare_unpaired
from portal.statistics.findings import FEWEST, Finding, Unit, adjust_for_several
from portal.statistics.samples import PitSample
from portal.statistics.sides import ON_BOTH_SIDES, Side, unknown, words_of
from portal.statistics.tallies import DRENCHED, PitTally

NO_OTHER_SIDE = "no pit of the other side with the same kit and steps"
NO_PAIR = "no pit of the other side on the same visit with the same steps"
SAME_PLACE = (
    "Some of these pits were dug at the same place on other days; the interval takes them as "
    "independent, so it may be too narrow."
)
# Project judgement: with fewer of its pits in pairs, a side loses more than pairing can gain.
LEAST_SHARE_IN_PAIRS = 0.5
AUTO_RULE = (
    "auto: paired where at least 6 visits hold both pits and these visits hold at least half of "
    "the pits of each side, else unpaired; what was found plays no part in the choice"
)
ADJUSTMENT = "Holm 1979, over the comparisons of this answer that have a p value"


class Pairing(StrEnum):
    """Whether pits of one visit are compared with each other."""

    AUTO = "auto"  # see AUTO_RULE
    PAIRED = "paired"
    UNPAIRED = "unpaired"


@dataclass(frozen=True)
class Contrast:
    """What is compared with what."""

    first: Side
    second: Side
    pairing: Pairing = Pairing.AUTO


@dataclass(frozen=True)
class Comparison:
    """The finding for the pits of one kit and steps.

    Parameters
    ----------
    kit, steps : str
        How the pits were dug and sorted; never mixed.
    finding : Finding
        Result, judged among all comparisons of the answer; its `p_value` is adjusted.
    p_value : float or None
        p before adjustment.
    n_visits, n_sites : int
        Visits and places that the pits come from.
    """

    kit: str
    steps: str
    finding: Finding
    p_value: float | None
    n_visits: int
    n_sites: int

    @property
    def sentence(self) -> str:
        """Return the finding in plain words, with the way in which the pits were dug."""
        sorted_how = "sorted by hand and drenched" if self.steps == DRENCHED else "sorted by hand"
        return f"{self.kit}, {sorted_how}: {self.finding.sentence}"

    @property
    def caution(self) -> str:
        """Return what the interval does not know of, or nothing."""
        return SAME_PLACE if self.n_sites < self.n_visits else ""


@dataclass(frozen=True)
class Answer:
    """Comparisons by kit and steps, and pits left out by reason."""

    comparisons: tuple[Comparison, ...]
    left_out: dict[str, int]


@dataclass
class _Stratum:
    """Pits of one kit and steps on both sides."""

    first: list[PitTally] = field(default_factory=list)
    second: list[PitTally] = field(default_factory=list)


@dataclass(frozen=True)
class _Matched:
    """Samples to compare, the pits in them, and how many pits found no partner."""

    first: PitSample
    second: PitSample
    pits: list[PitTally]
    unmatched: int


def compare_sides(pits: Iterable[PitTally], contrast: Contrast) -> Answer:
    """Compare two sets of pits, for each kit and steps apart.

    Parameters
    ----------
    pits : iterable of PitTally
        Usable pits, of both sides and of none.
    contrast : Contrast
        The two sides, and whether to pair.

    Returns
    -------
    Answer
        One comparison for each kit and steps that hold pits of both sides.
    """
    left_out: Counter[str] = Counter()
    strata = _strata(pits, contrast, left_out)
    found: list[tuple[tuple[str, str], _Matched, Finding]] = []
    for key in sorted(strata):
        stratum = strata[key]
        if not stratum.first or not stratum.second:
            left_out[NO_OTHER_SIDE] += len(stratum.first) + len(stratum.second)
            continue
        paired = _paired(contrast, stratum)
        if contrast.pairing is Pairing.PAIRED and paired is None:
            left_out[NO_PAIR] += len(stratum.first) + len(stratum.second)
        elif paired is not None and _is_paired(contrast.pairing, paired, stratum):
            left_out[NO_PAIR] += paired.unmatched
            found.append((key, paired, compare_paired(paired.first, paired.second)))
        else:
            alone = _unpaired(contrast, stratum)
            found.append((key, alone, compare_unpaired(alone.first, alone.second)))
    adjusted = adjust_for_several([finding for _, _, finding in found])
    return Answer(
        tuple(
            _comparison(key, matched, finding, judged)
            for (key, matched, finding), judged in zip(found, adjusted, strict=True)
        ),
        {reason: n for reason, n in sorted(left_out.items()) if n},
    )


def _strata(
    pits: Iterable[PitTally], contrast: Contrast, left_out: Counter[str]
) -> dict[tuple[str, str], _Stratum]:
    strata: dict[tuple[str, str], _Stratum] = defaultdict(_Stratum)
    by = contrast.first.by
    for pit in sorted(pits, key=lambda pit: pit.key):
        if reason := unknown(pit.traits, by):
            left_out[reason] += 1
            continue
        words = words_of(pit.traits, by)
        sides = contrast.first.takes(words), contrast.second.takes(words)
        if all(sides):
            left_out[ON_BOTH_SIDES] += 1
        elif any(sides):
            stratum = strata[pit.kit, pit.steps]
            (stratum.first if sides[0] else stratum.second).append(pit)
    return strata


def _is_paired(pairing: Pairing, paired: _Matched, stratum: _Stratum) -> bool:
    if pairing is not Pairing.AUTO:
        return pairing is Pairing.PAIRED
    used = {pit.key for pit in paired.pits}
    shares = [
        sum(pit.key in used for pit in side) / len(side) for side in (stratum.first, stratum.second)
    ]
    return paired.first.n_pits >= FEWEST[Unit.VISITS] and min(shares) >= LEAST_SHARE_IN_PAIRS


def _paired(contrast: Contrast, stratum: _Stratum) -> _Matched | None:
    """Return visits with both pits; several pits of one side on a visit are summed."""
    first, second = _by_visit(stratum.first), _by_visit(stratum.second)
    visits = [visit for visit in sorted(first) if visit in second]
    if not visits:
        return None
    pits = [pit for visit in visits for pit in (*first[visit], *second[visit])]
    return _Matched(
        _summed(contrast.first.name, [first[visit] for visit in visits]),
        _summed(contrast.second.name, [second[visit] for visit in visits]),
        pits,
        unmatched=len(stratum.first) + len(stratum.second) - len(pits),
    )


def _unpaired(contrast: Contrast, stratum: _Stratum) -> _Matched:
    return _Matched(
        _summed(contrast.first.name, [[pit] for pit in stratum.first]),
        _summed(contrast.second.name, [[pit] for pit in stratum.second]),
        [*stratum.first, *stratum.second],
        unmatched=0,
    )


def _by_visit(pits: Iterable[PitTally]) -> dict[str, list[PitTally]]:
    visits: dict[str, list[PitTally]] = defaultdict(list)
    for pit in pits:
        visits[pit.visit].append(pit)
    return visits


def _summed(name: str, observations: list[list[PitTally]]) -> PitSample:
    return PitSample(
        name,
        tuple(sum(pit.number for pit in pits) for pits in observations),
        tuple(sum(pit.area_m2 for pit in pits) for pits in observations),
    )


def _comparison(
    key: tuple[str, str], matched: _Matched, finding: Finding, judged: Finding
) -> Comparison:
    return Comparison(
        kit=key[0],
        steps=key[1],
        finding=judged,
        p_value=finding.p_value,
        n_visits=len({pit.visit for pit in matched.pits}),
        n_sites=len({pit.site for pit in matched.pits}),
    )
