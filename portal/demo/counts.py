"""What a pit holds, what is recovered of it, and what the recorder writes down.

The order of the draws is fixed: mean, moisture, number, adults, groups, recovery, labels.
"""

import math
from dataclasses import dataclass
from random import Random

from portal.demo.region import GROUNDS, GROUPS, SPRING, Ground
from portal.demo.streams import binomial, dirichlet, multinomial, pick, poisson, stream
from portal.demo.visits import SPECIES_KIT, Outing

GROUP_WORDS = ("epigeic", "endogeic", "anecic")
AREA_M2 = {SPECIES_KIT: 0.0625}
PIT_AREA_M2 = 0.04
FACTORS = {"dry": 0.40, "moist": 1.0, "wet": 0.85}
SPRING_FACTOR, MULCH_FACTOR, FEED_FACTOR = 0.88, 1.5, 0.90
VISIT_SD = 0.30
CLUMPING = 2.5  # k of the negative binomial
EMPTY_SHARE = 0.02
MULCH_LIFTS_EPIGEIC = 1.8
KEEPS_CLASS = 0.8
OTHERWISE = {"dry": 0.15, "moist": 0.65, "wet": 0.20}
RECOVERED_POURED, RECOVERED_SPECIES, RECOVERED_UNPOURED = 0.80, 0.90, 0.45
CAME_UP = 0.60  # of the recovered deep adults, with the drench
LABELS = {
    # true group: shares of what is written
    "epigeic": (0.74, 0.22, 0.04),
    "endogeic": (0.05, 0.91, 0.04),
    "anecic": (0.06, 0.16, 0.78),
}
SPECIES = {
    # project judgement: common species of the group on farmland
    "epigeic": {"Lumbricus rubellus": 0.6, "Lumbricus castaneus": 0.4},
    "endogeic": {
        "Aporrectodea caliginosa": 0.55,
        "Aporrectodea rosea": 0.2,
        "Allolobophora chlorotica": 0.25,
    },
    "anecic": {"Lumbricus terrestris": 0.6, "Aporrectodea longa": 0.4},
}
Line = tuple[str, str, str]


@dataclass(frozen=True)
class PitDrawn:
    """One pit as dug: its state and the numbers written by step and line."""

    ground: str
    moisture: str
    mulched: bool
    fertilised: bool
    written: dict[str, dict[Line, int]]

    @property
    def found(self) -> int:
        """Return the animals written down over all steps."""
        return sum(sum(lines.values()) for lines in self.written.values())


def area_m2(kit: str) -> float:
    """Return the area of a pit of a kit [m2]."""
    return AREA_M2.get(kit, PIT_AREA_M2)


def draw_pit(outing: Outing, ground_key: str) -> PitDrawn:
    """Return a pit with all that its stream decides."""
    ground = GROUNDS[ground_key]
    rng = stream(outing.seed, outing.ref, ground_key, "pit")
    mulched, fertilised = rng.random() < ground.mulched, rng.random() < ground.fertilised
    keeps = rng.random() < KEEPS_CLASS
    otherwise = pick(rng, OTHERWISE)
    moisture = outing.moisture if keeps else otherwise
    mean = _mean(outing, ground, moisture, mulched=mulched, fertilised=fertilised)
    number = _number(rng, mean)
    adults = binomial(rng, number, _adult_share(rng, outing))
    groups = _groups(rng, ground, adults, mulched=mulched)
    return PitDrawn(
        ground=ground_key,
        moisture=moisture,
        mulched=mulched,
        fertilised=fertilised,
        written=_written(rng, outing, groups, number - adults),
    )


def _mean(
    outing: Outing, ground: Ground, moisture: str, *, mulched: bool, fertilised: bool
) -> float:
    visit = stream(outing.seed, outing.ref, "effect").normalvariate(0.0, VISIT_SD)
    log_mean = math.log(ground.mean * area_m2(outing.kit) / PIT_AREA_M2)
    log_mean += outing.recorder.effect + visit + math.log(FACTORS[moisture])
    if outing.season == SPRING:
        log_mean += math.log(SPRING_FACTOR)
    if mulched:
        log_mean += math.log(MULCH_FACTOR)
    if fertilised and ground.habitat == "lawn":
        log_mean += math.log(FEED_FACTOR)
    return math.exp(log_mean)


def _number(rng: Random, mean: float) -> int:
    is_empty = rng.random() < EMPTY_SHARE
    drawn = poisson(rng, rng.gammavariate(CLUMPING, mean / CLUMPING))
    return 0 if is_empty else drawn


def _adult_share(rng: Random, outing: Outing) -> float:
    return rng.betavariate(4.6, 5.4) if outing.season == SPRING else rng.betavariate(4, 6)


def _groups(rng: Random, ground: Ground, adults: int, *, mulched: bool) -> list[int]:
    weights = list(ground.composition)
    if mulched:
        weights[0] *= MULCH_LIFTS_EPIGEIC
    total = sum(weights)
    return multinomial(rng, adults, dirichlet(rng, [12 * weight / total for weight in weights]))


def _written(
    rng: Random, outing: Outing, groups: list[int], juveniles: int
) -> dict[str, dict[Line, int]]:
    epigeic, endogeic, deep = groups
    recovered = binomial(rng, deep, _recovery(outing))
    came_up = binomial(rng, recovered, CAME_UP if outing.poured else 0.0)
    sorted_by_hand = _labelled(rng, (epigeic, endogeic, recovered - came_up))
    expelled = _labelled(rng, (0, 0, came_up))
    steps = {"hand_sort": _lines(rng, outing.kit, sorted_by_hand, juveniles)}
    if outing.poured:
        steps["expellant"] = _lines(rng, outing.kit, expelled, 0)
    return steps


def _recovery(outing: Outing) -> float:
    if not outing.poured:
        return RECOVERED_UNPOURED
    return RECOVERED_SPECIES if outing.kit == SPECIES_KIT else RECOVERED_POURED


def _labelled(rng: Random, true: tuple[int, int, int]) -> list[int]:
    written = [0, 0, 0]
    for word, number in zip(GROUP_WORDS, true, strict=True):
        for place, labelled in enumerate(multinomial(rng, number, LABELS[word])):
            written[place] += labelled
    return written


def _lines(rng: Random, kit: str, adults: list[int], juveniles: int) -> dict[Line, int]:
    lines: dict[Line, int] = {}
    for word, number in zip(GROUP_WORDS, adults, strict=True):
        if kit != SPECIES_KIT:
            lines[word, "adult", ""] = number
            continue
        shares = SPECIES[word]
        split = multinomial(rng, number, list(shares.values()))
        lines |= {(word, "adult", name): part for name, part in zip(shares, split, strict=True)}
    lines["unassigned", "juvenile", ""] = juveniles
    return lines


def ground_words(pit: PitDrawn) -> list[str]:
    """Return the management words of a pit."""
    extra = [("mulched", pit.mulched), ("fertilised", pit.fertilised)]
    return [*GROUNDS[pit.ground].management, *(word for word, applies in extra if applies)]


def distance_m(outing: Outing) -> float:
    """Return how far the second pit lies from the first [m]."""
    rng = stream(outing.seed, outing.ref, "distance")
    return rng.uniform(*GROUPS[outing.group].pit_distance_m)
