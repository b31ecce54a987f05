"""The exact places that people dig at, inside the region."""

import math
from dataclasses import dataclass
from random import Random

from portal.demo.cast import EXACT_PLACES
from portal.demo.people import Person
from portal.demo.region import BOX, FARMS, GROUPS, SCHOOL, GroupPlan
from portal.demo.streams import pick, stream

DECIMALS = 6
METRES_PER_DEGREE = 111_195.0  # of a meridian on a sphere of radius 6371 km
SCHOOL_RADIUS_M = 60
INSIDE = 0.005  # degrees kept free along the edge of the region
PLACED_BY_HAND = 0.15


@dataclass(frozen=True)
class Place:
    """A site; position in decimal degrees, soil as it truly is."""

    code: str
    owner: str
    latitude: float
    longitude: float
    uncertainty_m: float
    placed_by_hand: bool
    place_kind: str
    place_detail: str
    texture: str
    fizz: str
    hue: str


def places_of(person: Person, seed: int, tag: str = "") -> list[Place]:
    """Return the places of a person: 1 to 3 gardens, 2 to 4 fields, or the one school ground."""
    plan = GROUPS[person.group]
    if person.group == SCHOOL:
        return [_school(plan, seed, tag)]
    letter = "F" if person.group == FARMS else "G"
    least, most = (2, 4) if person.group == FARMS else (1, 3)
    number = stream(seed, person.group, person.code, "places").randint(least, most)
    codes = [f"{person.code}-{letter}{which}" for which in range(1, number + 1)]
    return [_place(plan, person.code, code, seed) for code in codes]


def moved(
    latitude: float, longitude: float, distance_m: float, bearing: float
) -> tuple[float, float]:
    """Return the point at a distance [m] and bearing [radian] from another."""
    north = distance_m * math.cos(bearing) / METRES_PER_DEGREE
    shrink = math.cos(math.radians(latitude))
    east = distance_m * math.sin(bearing) / (METRES_PER_DEGREE * shrink)
    return round(latitude + north, DECIMALS), round(longitude + east, DECIMALS)


def _school(plan: GroupPlan, seed: int, tag: str) -> Place:
    rng = stream(seed, plan.code, "place")
    latitude, longitude = moved(
        *plan.centre, SCHOOL_RADIUS_M * rng.random(), math.tau * rng.random()
    )
    return _described(plan, plan.code, f"{plan.code}-G1{tag}", (latitude, longitude), seed)


def _place(plan: GroupPlan, owner: str, code: str, seed: int) -> Place:
    rng = stream(seed, plan.code, code, "place")
    west, south, east, north = (float(edge) for edge in BOX)
    latitude = _within(rng, plan.centre[0], plan.spread[0], (south, north))
    longitude = _within(rng, plan.centre[1], plan.spread[1], (west, east))
    return _described(plan, owner, code, (latitude, longitude), seed)


def _within(rng: Random, centre: float, spread: float, edges: tuple[float, float]) -> float:
    drawn = rng.normalvariate(centre, spread)
    return round(min(max(drawn, edges[0] + INSIDE), edges[1] - INSIDE), DECIMALS)


def _described(
    plan: GroupPlan, owner: str, code: str, position: tuple[float, float], seed: int
) -> Place:
    rng = stream(seed, plan.code, code, "kind")
    soil = stream(seed, plan.code, code, "soil")
    by_hand = rng.random() < PLACED_BY_HAND
    accuracy_m = min(max(rng.lognormvariate(math.log(5), 0.5), 2), 30)
    return Place(
        code=code,
        owner=owner,
        latitude=position[0],
        longitude=position[1],
        uncertainty_m=20.0 if by_hand else round(accuracy_m, 1),
        placed_by_hand=by_hand,
        place_kind=pick(rng, plan.place_kinds),
        place_detail=_detail(rng, owner, code),
        texture=pick(soil, plan.textures),
        fizz=pick(soil, {"none": 0.55, "weak": 0.30, "strong": 0.15}),
        hue=pick(soil, {"10YR": 0.7, "7.5YR": 0.2, "2.5Y": 0.1}),
    )


def _detail(rng: Random, owner: str, code: str) -> str:
    drawn = pick(rng, {"standard": 0.8, "fine": 0.1, "coarse": 0.1})
    signed = owner in EXACT_PLACES and code not in EXACT_PLACES[owner]
    return "fine" if signed else drawn
