"""Rows of the archive of occurrences alone: each carries its event and the soil of its pit.

Soil facts and the zeros beside finds, rows of their own in the archive of events, are
properties here.
"""

from collections.abc import Iterator
from typing import Any

from portal.archive.absence import occurrences_of, zeros_beside_finds
from portal.archive.edition import Edition
from portal.archive.event_rows import event_rows
from portal.archive.measurement_rows import line_name, soil_facts
from portal.archive.occurrence_rows import group_property, occurrence_row, properties_text
from portal.archive.reading import PitTree, StepTree, VisitTree
from portal.records.models import PublishedPit

Row = dict[str, Any]


def occurrence_core_rows(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    """Yield the occurrences of a visit with what their event and pit say."""
    events = {row["eventID"]: row for row in event_rows(edition, visit)}
    for pit in visit.pits:
        soil = _soil(pit.row)
        for step in pit.steps:
            properties = soil | _zeros(edition, step)
            for count in occurrences_of(step):
                occurrence = occurrence_row(edition, count)
                event = events[occurrence.pop("coreid")]
                yield (
                    event
                    | occurrence
                    | {
                        "dynamicProperties": properties_text(properties | group_property(count)),
                        "modified": count.modified_at,
                        "references": occurrence["occurrenceID"],
                    }
                )


def pits_without_row(pits: list[PitTree]) -> int:
    """Return how many pits have no occurrence, not even an absence, and so cannot be shown."""
    return sum(not any(occurrences_of(step) for step in pit.steps) for pit in pits)


def _soil(pit: PublishedPit) -> Row:
    facts: Row = {_property(fact.kind): value for fact, value in soil_facts(pit)}
    return facts | ({"landManagement": pit.management} if pit.management else {})


def _zeros(edition: Edition, step: StepTree) -> Row:
    names = sorted(line_name(edition, count) for count in zeros_beside_finds(step))
    return {"linesWithoutAnimals": names} if names else {}


def _property(kind: str) -> str:
    first, *others = kind.split()
    return first + "".join(word.capitalize() for word in others)
