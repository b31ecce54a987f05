"""How much work went into an event, as a sentence and as a number with its unit."""

from dataclasses import dataclass

from portal.records.models import PublishedCount, PublishedPit, PublishedVisit

NOT_NOTED = "time not noted"


@dataclass(frozen=True)
class Effort:
    """A measured effort and how it was determined."""

    value: int
    unit: str
    protocol: str


def visit_effort(row: PublishedVisit) -> str:
    """Return the effort of a visit as a sentence."""
    pits = _counted(row.pits, "pit")
    if row.people_digging is None:
        return pits
    people = "1 person" if row.people_digging == 1 else f"{row.people_digging} people"
    return f"{pits} by {people}"


def pit_effort(row: PublishedPit) -> str:
    """Return the effort of a pit as a sentence."""
    parts = ["1 pit"]
    if row.hand_sort == "done":
        parts.append(_sorting(row))
    if row.expellant == "done":
        parts.append(_drench(row))
    return ", ".join(parts)


def step_effort(row: PublishedCount) -> str:
    """Return the effort of one step of a pit as a sentence."""
    return _sorting(row) if row.method == "hand_sort" else _drench(row)


def measured_visit_effort(row: PublishedVisit) -> Effort:
    """Return the pits dug."""
    return Effort(row.pits, "pits", "Pits dug during the visit.")


def measured_pit_effort(row: PublishedPit | PublishedCount) -> Effort | None:
    """Return the time of sorting by hand, if it was noted."""
    if row.sorting_minutes is None:
        return None
    return Effort(row.sorting_minutes, "minutes", "Time of sorting the soil of one pit by hand.")


def measured_step_effort(row: PublishedCount) -> Effort | None:
    """Return the time of sorting, or of waiting after a drench, if it was noted."""
    if row.method == "hand_sort":
        return measured_pit_effort(row)
    if row.expellant_wait_min is None:
        return None
    return Effort(row.expellant_wait_min, "minutes", "Time of collecting animals after the drench.")


def _sorting(row: PublishedPit | PublishedCount) -> str:
    if row.sorting_minutes is None:
        return f"hand sorting, {NOT_NOTED}"
    return f"{_counted(row.sorting_minutes, 'minute')} hand sorting"


def _drench(row: PublishedPit | PublishedCount) -> str:
    volume = "" if row.expellant_ml is None else f"{row.expellant_ml} ml "
    agent = row.expellant_agent or "expellant"
    wait = row.expellant_wait_min
    return f"{volume}{agent}, {NOT_NOTED if wait is None else _counted(wait, 'minute') + ' wait'}"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
