"""The invented Wennish Levels: groups, seasons and kinds of ground, with their parameters.

Every name is invented. The figures are project judgement shaped by published ones: no-till raises
earthworm numbers (+137 %, Briones & Schmidt 2017, Global Change Biology 23: 4396-4419); 130-153
per m2 in tilled plots (Crittenden et al. 2014, Applied Soil Ecology 83: 140-148); 28 % of group
labels given in the field were wrong, the soil-feeding group being the most reliable (Hoeffner et
al. 2025, abstract); novices' texture classes are right in 38 % of cases and within one class in
71 % (Salley et al. 2017, abstract). Titles and pages are from memory.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

REGION_NAME = "Wennish Levels"
BOX = (Decimal("-0.90"), Decimal("52.60"), Decimal("-0.30"), Decimal("52.95"))  # w, s, e, n
DEMO_NOW = datetime(2025, 7, 15, 9, tzinfo=UTC)
FIRST_RELEASE_AT = datetime(2025, 1, 31, 10, tzinfo=UTC)
SECOND_RELEASE_AT = datetime(2025, 6, 30, 10, tzinfo=UTC)


@dataclass(frozen=True)
class Season:
    """A survey season: the letter in visit references and its days, both included."""

    letter: str
    name: str
    first_on: date
    last_on: date


AUTUMN = Season("A", "autumn", date(2024, 9, 15), date(2024, 11, 30))
SPRING = Season("S", "spring", date(2025, 3, 1), date(2025, 5, 20))
SEASONS = (AUTUMN, SPRING)


@dataclass(frozen=True)
class Ground:
    """A kind of ground: words of the form and what lives there.

    ``mean`` is the number of worms per 0.04 m2 in a moist autumn; ``composition`` holds the
    shares of epigeic, endogeic and anecic adults.
    """

    habitat: str
    management: tuple[str, ...]
    mean: float
    composition: tuple[float, float, float]
    mulched: float = 0.0
    fertilised: float = 0.0


GROUNDS: dict[str, Ground] = {
    "old pasture": Ground("old pasture", ("grazed",), 14, (0.15, 0.70, 0.15)),
    "rough grass": Ground("rough grass", ("left alone",), 11, (0.20, 0.62, 0.18)),
    "direct drilled": Ground(
        "crop field", ("direct drilled",), 10, (0.12, 0.70, 0.18), fertilised=0.7
    ),
    "lawn": Ground("lawn", ("mown",), 9, (0.10, 0.78, 0.12), fertilised=0.35),
    "vegetable plot": Ground("vegetable plot", (), 6.5, (0.15, 0.75, 0.10), 0.5, 0.3),
    "flower bed": Ground("flower bed", (), 6, (0.18, 0.72, 0.10), 0.45, 0.1),
    "hedge": Ground("hedge", (), 5.5, (0.35, 0.50, 0.15)),
    "ploughed": Ground("crop field", ("ploughed",), 4.5, (0.04, 0.92, 0.04), fertilised=0.8),
}


@dataclass(frozen=True)
class GroupPlan:
    """A partner group and how it works; spreads in degrees of latitude and longitude."""

    code: str
    name: str
    named_publicly: bool
    place_kinds: dict[str, float]
    people: int
    visits: tuple[int, int]
    centre: tuple[float, float]
    spread: tuple[float, float]
    meeting_point: tuple[Decimal, Decimal]
    pairs: dict[tuple[str, str], float]
    poured: float
    textures: dict[str, float]
    unpaired: frozenset[str] = frozenset()
    pit_distance_m: tuple[int, int] = (5, 60)


def _fifth_twelfth_eighteenth(code: str) -> frozenset[str]:
    return frozenset(f"{code}-{letter}{number:02}" for letter in "AS" for number in (5, 12, 18))


GROUPS: dict[str, GroupPlan] = {
    group.code: group
    for group in (
        GroupPlan(
            code="QVD",
            name="Quellmoor Village Diggers",
            named_publicly=True,
            place_kinds={"private_garden": 1.0},
            people=18,
            visits=(22, 26),
            centre=(52.88, -0.72),
            spread=(0.030, 0.045),
            meeting_point=(Decimal("52.881204"), Decimal("-0.716382")),
            pairs={
                ("lawn", "flower bed"): 0.45,
                ("rough grass", "hedge"): 0.30,
                ("lawn", "hedge"): 0.25,
            },
            poured=0.93,
            textures={"loam": 0.6, "clay": 0.4},
            unpaired=_fifth_twelfth_eighteenth("QVD"),
        ),
        GroupPlan(
            code="OPL",
            name="Ostrawick Plot Holders",
            named_publicly=True,
            place_kinds={"allotment": 0.65, "private_garden": 0.35},
            people=17,
            visits=(20, 22),
            centre=(52.70, -0.48),
            spread=(0.012, 0.018),
            meeting_point=(Decimal("52.702117"), Decimal("-0.477645")),
            pairs={
                ("lawn", "vegetable plot"): 0.40,
                ("flower bed", "vegetable plot"): 0.35,
                ("lawn", "flower bed"): 0.25,
            },
            poured=0.90,
            textures={"loam": 0.8, "sand": 0.2},
            unpaired=_fifth_twelfth_eighteenth("OPL"),
        ),
        GroupPlan(
            code="BSC",
            name="Brindlefold School Soil Club",
            named_publicly=False,
            place_kinds={"school_ground": 1.0},
            people=16,
            visits=(8, 10),
            centre=(52.80, -0.60),
            spread=(0.0, 0.0),
            meeting_point=(Decimal("52.799713"), Decimal("-0.601128")),
            pairs={("lawn", "hedge"): 0.6, ("lawn", "flower bed"): 0.4},
            poured=0.0,
            textures={"clay": 1.0},
        ),
        GroupPlan(
            code="VFR",
            name="Velmarsh Farm Ring",
            named_publicly=True,
            place_kinds={"farm": 1.0},
            people=11,
            visits=(20, 24),
            centre=(52.74, -0.80),
            spread=(0.040, 0.060),
            meeting_point=(Decimal("52.741538"), Decimal("-0.793271")),
            pairs={
                ("direct drilled", "ploughed"): 0.45,
                ("old pasture", "ploughed"): 0.25,
                ("rough grass", "ploughed"): 0.15,
                ("old pasture", "direct drilled"): 0.15,
            },
            poured=0.95,
            textures={"clay": 0.5, "loam": 0.5},
            unpaired=frozenset({"VFR-A08"}),
            pit_distance_m=(30, 400),
        ),
    )
}
SCHOOL = "BSC"
FARMS = "VFR"
