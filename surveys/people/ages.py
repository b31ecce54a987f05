"""When somebody is of age: whole calendar years, as the installation counts them."""

from datetime import date

LAST_OF_FEBRUARY = 28


def completed_on(born_on: date, years: int) -> date:
    """Return the day that completes years of life; who was born on 29 February waits for 1 March.

    Laws differ about that day; the later one protects longer.
    """
    try:
        return born_on.replace(year=born_on.year + years)
    except ValueError:
        return date(born_on.year + years, 3, 1)


def latest_birthday(day: date, years: int) -> date:
    """Return the last birthday of those who have completed years by a day."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return date(day.year - years, 2, LAST_OF_FEBRUARY)
