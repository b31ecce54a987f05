"""What the acceptance bands measure, computed from payloads by other code than that which drew.

The bands are those of the design of the demonstration: the 5th and 95th percentile of 300 seeds
of a separate simulation of the same steps.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

Payload = dict[str, Any]

BANDS: dict[str, tuple[float, float]] = {
    "worms written": (1865, 2424),
    "zero pits": (17, 33),
    "adult share": (0.40, 0.45),
    "pits over 40": (0, 5),
    "visits by the six busiest": (0.32, 0.47),
    "per m2, old pasture": (199, 433),
    "per m2, rough grass": (164, 345),
    "per m2, direct drilled": (148, 295),
    "per m2, lawn": (151, 222),
    "per m2, vegetable plot": (124, 238),
    "per m2, flower bed": (125, 204),
    "per m2, hedge": (88, 152),
    "per m2, ploughed": (70, 131),
    "direct drilled / ploughed": (1.3, 3.5),
    "old pasture / ploughed": (1.7, 5.8),
    "lawn / flower bed": (0.9, 1.7),
    "mulched / not": (1.1, 2.3),
    "dry / moist": (0.28, 0.55),
    "spring / autumn": (0.66, 1.03),
    "no deep adult, ploughed": (0.80, 0.97),
    "no deep adult, old pasture": (0.38, 0.79),
    "no deep adult, lawn": (0.68, 0.84),
}
BEDS = ("vegetable plot", "flower bed")
MOIST = ("slightly moist", "moist")


def measures(visits: Sequence[Payload]) -> dict[str, float]:
    """Return every measure that has a band."""
    pits = [pit for visit in visits for pit in visit["pits"]]
    by_ground = defaultdict(list)
    for pit in pits:
        by_ground[ground(pit)].append(pit)
    found = {
        "worms written": sum(map(animals, pits)),
        "zero pits": sum(animals(pit) == 0 for pit in pits),
        "adult share": sum(animals(pit, stage="adult") for pit in pits) / sum(map(animals, pits)),
        "pits over 40": sum(animals(pit) > 40 for pit in pits),
        "visits by the six busiest": busiest(visits, 6),
        "mulched / not": density(beds(pits, mulched=True)) / density(beds(pits, mulched=False)),
        "dry / moist": density(in_soil(pits, "dry")) / density(in_soil(pits, *MOIST)),
        "spring / autumn": density(of_year(visits, "2025")) / density(of_year(visits, "2024")),
    }
    for first, second in (
        ("direct drilled", "ploughed"),
        ("old pasture", "ploughed"),
        ("lawn", "flower bed"),
    ):
        found[f"{first} / {second}"] = paired_ratio(visits, first, second)
    for name, dug in by_ground.items():
        found[f"per m2, {name}"] = density(dug)
        found[f"no deep adult, {name}"] = sum(animals(p, group="anecic") == 0 for p in dug) / len(
            dug
        )
    return {name: found[name] for name in BANDS}


def ground(pit: Payload) -> str:
    if pit["habitat"] != "crop field":
        return str(pit["habitat"])
    return "ploughed" if "ploughed" in pit["management"] else "direct drilled"


def animals(pit: Payload, **only: str) -> int:
    return sum(
        count["number"]
        for phase in pit["phases"]
        for count in phase["counts"]
        if all(count[name] == word for name, word in only.items())
    )


def density(pits: Iterable[Payload]) -> float:
    """Return animals per m2: sum of counts over sum of areas."""
    pits = list(pits)
    area_cm2 = sum(float(pit["width_cm"] * pit["length_cm"]) for pit in pits)
    return sum(map(animals, pits)) * 10_000 / area_cm2


def beds(pits: Iterable[Payload], *, mulched: bool) -> list[Payload]:
    return [p for p in pits if p["habitat"] in BEDS and ("mulched" in p["management"]) == mulched]


def in_soil(pits: Iterable[Payload], *words: str) -> list[Payload]:
    return [pit for pit in pits if pit["soil"]["moisture"] in words]


def of_year(visits: Iterable[Payload], year: str) -> list[Payload]:
    return [pit for v in visits if v["visited_on"].startswith(year) for pit in v["pits"]]


def paired_ratio(visits: Iterable[Payload], first: str, second: str) -> float:
    pairs = both_dug(visits, first, second)
    return density(pair[first] for pair in pairs) / density(pair[second] for pair in pairs)


def both_dug(visits: Iterable[Payload], first: str, second: str) -> list[dict[str, Payload]]:
    """Return the visits with a pit on each of two kinds of ground, by kind."""
    pairs = [{ground(pit): pit for pit in visit["pits"]} for visit in visits]
    return [pair for pair in pairs if first in pair and second in pair]


def busiest(visits: Sequence[Payload], people: int) -> float:
    tally = Counter(visit["participant"] for visit in visits)
    return sum(number for _, number in tally.most_common(people)) / len(visits)
