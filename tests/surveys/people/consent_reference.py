"""The rule of consent once more, in plain Python: slow, with no database, and read line by line."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

MAJORITY = 18


@dataclass(frozen=True)
class Words:
    """A version of a statement: its meaning, and from when older meanings end."""

    version: str
    meaning: int
    older_end_on: date


@dataclass(frozen=True)
class Person:
    """What is known of a participant's age."""

    born_on: date | None = None
    of_age_by: date | None = None
    in_group_of_children: bool = False


@dataclass(frozen=True)
class Said:
    """One answer for the purpose asked about."""

    decision: str
    given_by: str
    decided_at: datetime
    giver: str = ""
    version: str = "1"
    ends_on: date | None = None


def may(
    person: Person,
    history: Sequence[Said],
    words: Sequence[Words],
    at: datetime,
    *,
    said_before: bool,
) -> bool:
    """Tell whether something may be done; ``said_before``: a guardian spoke on another purpose."""
    made = [said for said in history if said.decided_at <= at]
    day = at.astimezone(UTC).date()
    guardian_spoke = said_before or any(said.given_by == "guardian" for said in made)
    last: dict[tuple[str, str], Said] = {}
    for said in sorted(made, key=lambda one: one.decided_at):  # stable: written later, holds
        last[said.given_by, said.giver] = said
    if is_of_age(person, day, guardian_spoke=guardian_spoke):
        own = last.get(("self", ""))
        return own is not None and stands(own, words, day) and was_of_age(person, own)
    keys = {given_by for given_by, _ in last}
    return keys == {"self", "guardian"} and all(stands(one, words, day) for one in last.values())


def is_of_age(person: Person, day: date, *, guardian_spoke: bool) -> bool:
    """Tell whether a person is of age on a day."""
    if person.born_on is not None:
        return years(person.born_on, day) >= MAJORITY
    if person.of_age_by is not None:
        return person.of_age_by <= day
    return not person.in_group_of_children and not guardian_spoke


def was_of_age(person: Person, said: Said) -> bool:
    """Tell whether somebody was of age when answering."""
    day = said.decided_at.astimezone(UTC).date()
    if person.born_on is not None:
        return years(person.born_on, day) >= MAJORITY
    return person.of_age_by is None or person.of_age_by <= day


def years(born_on: date, day: date) -> int:
    """Return completed years of life."""
    return day.year - born_on.year - ((day.month, day.day) < (born_on.month, born_on.day))


def stands(said: Said, words: Sequence[Words], day: date) -> bool:
    """Tell whether an answer is a yes to the meaning asked for that has not ended."""
    meaning = next((one.meaning for one in words if one.version == said.version), 1)
    asked = max((one.meaning for one in words if one.older_end_on <= day), default=1)
    ended = said.ends_on is not None and said.ends_on <= day
    return said.decision == "given" and meaning >= asked and not ended
