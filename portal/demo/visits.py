"""The calendar: which visit is made when, where, by whom, on which ground and how."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from portal.demo import cast
from portal.demo.people import Person, people_of
from portal.demo.places import Place, places_of
from portal.demo.region import FARMS, GROUPS, SCHOOL, SEASONS, SPRING, GroupPlan, Season
from portal.demo.streams import pick, stream

WEEKEND_SHARE = 0.7
REUSE_SHARE = 0.6
DAYS_TO_WEEKEND = (-1, -2, 3, 2, 1, 0, 0)  # from Monday on
DAYS_TO_SCHOOL = (0, 0, 0, 0, 0, -1, 1)
SPECIES_FROM = 13  # visits of the farms in spring from this number on follow the species kit
SPECIES_KIT = "species-pit/1"
SCHOOL_KIT = "school-pit/1"


@dataclass(frozen=True)
class Outing:
    """A visit before anything is counted; ``grounds`` are keys of the region's kinds."""

    ref: str
    group: str
    season: Season
    number: int
    recorder: Person
    place: Place
    visited_on: date
    kit: str
    grounds: tuple[str, ...]
    moisture: str
    poured: bool
    people_digging: int
    seed: int
    tag: str


def outings(seed: int, tag: str = "") -> list[Outing]:
    """Return all visits of one drawing, by season and number, the groups taking turns."""
    by_group = {plan.code: list(_of_group(plan, seed, tag)) for plan in GROUPS.values()}
    drawn = [outing for code in GROUPS for outing in by_group[code]]
    return sorted(
        drawn, key=lambda o: (SEASONS.index(o.season), o.number, list(GROUPS).index(o.group))
    )


def _of_group(plan: GroupPlan, seed: int, tag: str) -> Iterator[Outing]:
    people = people_of(plan, seed, tag)
    places = {person.code: places_of(person, seed, tag) for person in people}
    known: dict[str, list[Place]] = {person.code: [] for person in people}
    for season, visits in zip(SEASONS, plan.visits, strict=True):
        for number in range(1, visits + 1):
            name = f"{plan.code}-{season.letter}{number:02}"
            day = visit_day(plan, name, season, seed)
            recorder = _recorder(people, name, day, seed, tag)
            place = _place(places[recorder.code], known[recorder.code], name, season, seed)
            if season != SPRING and place not in known[recorder.code]:
                known[recorder.code].append(place)
            yield _outing(plan, name, season, number, recorder, place, day, seed, tag)


def visit_day(plan: GroupPlan, name: str, season: Season, seed: int) -> date:
    """Return the day of a visit: mid-season is likeliest, and most go out at weekends."""
    if name in cast.VISITED_ON:
        return cast.VISITED_ON[name]
    rng = stream(seed, name, "day")
    length = (season.last_on - season.first_on).days
    day = season.first_on + timedelta(days=int(length * (rng.random() + rng.random()) / 2))
    if plan.code == SCHOOL:
        return day + timedelta(days=DAYS_TO_SCHOOL[day.weekday()])
    weekend = day + timedelta(days=DAYS_TO_WEEKEND[day.weekday()])
    moves = rng.random() < WEEKEND_SHARE
    return weekend if moves and season.first_on <= weekend <= season.last_on else day


def _recorder(people: Sequence[Person], name: str, day: date, seed: int, tag: str) -> Person:
    """Let people race with exponential times: one more runner changes only what they win."""
    runners = [person for person in people if person.is_active(day)]
    if name in cast.RECORDERS:
        return next(person for person in runners if person.code == cast.RECORDERS[name] + tag)
    return min(
        runners,
        key=lambda person: stream(seed, name, person.code, "recorder").expovariate(person.weight),
    )


def _place(
    own: Sequence[Place], known: Sequence[Place], name: str, season: Season, seed: int
) -> Place:
    rng = stream(seed, name, "place")
    fresh = [place for place in own if place not in known]
    reuses = season == SPRING and known and rng.random() < REUSE_SHARE
    if reuses or not fresh:
        return rng.choice(list(known))
    return rng.choice(list(own) if season != SPRING else fresh)


def _outing(  # noqa: PLR0913, PLR0917 -- the parts of a visit already decided
    plan: GroupPlan,
    name: str,
    season: Season,
    number: int,
    recorder: Person,
    place: Place,
    day: date,
    seed: int,
    tag: str,
) -> Outing:
    rng = stream(seed, name, "visit")
    pair = "+".join(rng.choices(list(plan.pairs), weights=list(plan.pairs.values()))[0])
    grounds = tuple(pair.split("+"))
    return Outing(
        ref=name + tag,
        group=plan.code,
        season=season,
        number=number,
        recorder=recorder,
        place=place,
        visited_on=day,
        kit=_kit(plan.code, season, number),
        grounds=grounds[:1] if name in plan.unpaired else grounds,
        moisture=pick(rng, MOISTURE[season.letter]),
        poured=rng.random() < plan.poured,
        people_digging=_people_digging(plan.code, name, seed),
        seed=seed,
        tag=tag,
    )


MOISTURE = {
    "A": {"dry": 0.08, "moist": 0.70, "wet": 0.22},
    "S": {"dry": 0.22, "moist": 0.68, "wet": 0.10},
}


def _kit(group: str, season: Season, number: int) -> str:
    if group == SCHOOL:
        return SCHOOL_KIT
    if season != SPRING:
        return "contrast-pit/1"
    if group == FARMS and number >= SPECIES_FROM:
        return SPECIES_KIT
    return "contrast-pit/2"


def _people_digging(group: str, name: str, seed: int) -> int:
    rng = stream(seed, name, "people digging")
    if group == SCHOOL:
        return rng.randint(6, 14)
    return int(pick(rng, {"1": 0.35, "2": 0.45, "3": 0.10, "4": 0.10}))


def sorting_minutes(outing: Outing, ground: str) -> int:
    """Return the minutes of sorting one pit: lognormal, median 16, more for the larger pit."""
    rng = stream(outing.seed, outing.ref, ground, "minutes")
    larger = 1.4 if outing.kit == SPECIES_KIT else 1.0
    return max(1, round(larger * rng.lognormvariate(math.log(16), 0.45)))
