"""The people of a group: codes, households, births and what they say about publication."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from portal.demo import cast
from portal.demo.region import FARMS, GROUPS, SCHOOL, GroupPlan
from portal.demo.streams import stream

JOINING_FROM = datetime(2024, 8, 20, 17, tzinfo=UTC)
JOINING_DAYS = 21
TEACHERS = 2
SHARED_HOME = 0.15  # project judgement: two recorders under one roof
OLDEST_PUPIL_BORN_ON = date(2013, 9, 1)
PUPIL_BIRTH_DAYS = 700


@dataclass(frozen=True)
class Person:
    """A participant; ``weight`` is how often they dig, ``effect`` how much they find (log)."""

    group: str
    code: str
    household: str
    joined_at: datetime
    born_on: date | None
    name: str
    weight: float
    effect: float
    active_from: date | None = None
    active_until: date | None = None
    of_age_by: date | None = None

    def is_active(self, day: date) -> bool:
        """Tell whether the person dug for this group on a day."""
        return (self.active_from is None or self.active_from <= day) and (
            self.active_until is None or day <= self.active_until
        )


def people_of(plan: GroupPlan, seed: int, tag: str = "") -> list[Person]:
    """Return the people of a group; ``tag`` ends their codes when a group is drawn again."""
    home = ""
    people = []
    for code in _codes(plan):
        home = _household(plan, code, home, seed)
        people.append(_person(plan.code, code, home, seed, tag))
    if not tag:
        people += [
            _person(plan.code, code, f"{plan.code}-{code}", seed, tag)
            for code, group in cast.MOVED.items()
            if group == plan.code
        ]
    return people


def all_people(seed: int, tag: str = "") -> list[Person]:
    """Return the people of every group; one who moved stands in both groups."""
    return [person for plan in GROUPS.values() for person in people_of(plan, seed, tag)]


def _codes(plan: GroupPlan) -> Iterator[str]:
    numbers = range(1, plan.people + 1)
    if plan.code != SCHOOL:
        yield from (f"{plan.code}-{number:02}" for number in numbers)
        return
    yield from (f"{plan.code}-T{number}" for number in numbers[:TEACHERS])
    yield from (f"{plan.code}-P{number:02}" for number in numbers[:-TEACHERS])


def _household(plan: GroupPlan, code: str, before: str, seed: int) -> str:
    number = code.rpartition("-")[2]
    if code in cast.HOUSEHOLDS:
        return cast.HOUSEHOLDS[code]
    if plan.code == SCHOOL:
        return f"{plan.code}-school"
    if plan.code == FARMS:
        return f"{plan.code}-farm-{number}"
    shared = stream(seed, code, "household").random() < SHARED_HOME
    if shared and before and before not in cast.HOUSEHOLDS.values():
        return before
    return f"{plan.code}-H{number}"


def _person(group: str, code: str, household: str, seed: int, tag: str) -> Person:
    waited = timedelta(days=stream(seed, code, "joined").random() * JOINING_DAYS)
    first_day = cast.ACTIVE_FROM.get((group, code))
    joined_at = JOINING_FROM + timedelta(seconds=int(waited.total_seconds()))
    if first_day is not None:
        joined_at = datetime(first_day.year, first_day.month, first_day.day, 9, tzinfo=UTC)
    return Person(
        group=group,
        code=code + tag,
        household=household + tag,
        joined_at=joined_at,
        born_on=_born_on(code, seed),
        name=cast.NAMES.get(code, "") if not tag else "",
        weight=stream(seed, code, "weight").gammavariate(0.9, 1.0),
        effect=stream(seed, code, "effect").normalvariate(0.0, 0.25),
        active_from=first_day,
        active_until=cast.ACTIVE_UNTIL.get((group, code)) if not tag else None,
        of_age_by=joined_at.date() if code.startswith(f"{SCHOOL}-T") else None,
    )


def is_pupil(code: str) -> bool:
    """Tell whether a code is that of a pupil, whose guardian answers for them."""
    return code.startswith(f"{SCHOOL}-P")


def _born_on(code: str, seed: int) -> date | None:
    if code in cast.BORN_ON:
        return cast.BORN_ON[code]
    if not is_pupil(code):
        return None
    days = stream(seed, code, "born").randrange(PUPIL_BIRTH_DAYS)
    return OLDEST_PUPIL_BORN_ON + timedelta(days=days)
