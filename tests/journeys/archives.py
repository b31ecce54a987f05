"""What an archive holds of each record, read from its files as a harvester reads them."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from zipfile import ZipFile

Row = dict[str, str]


@dataclass(frozen=True)
class Held:
    """A record in an archive: its own row, and all rows of the events that it belongs to."""

    own: tuple[str, ...]
    with_events: tuple[tuple[str, ...], ...]


def records_of(path: Path) -> dict[str, dict[str, Held]]:
    """Return the visits, pits and counted lines of an archive by permanent id."""
    with ZipFile(path) as archive:
        events = {row["eventID"]: row for row in _rows(archive, "event.txt")}
        found = list(_rows(archive, "occurrence.txt"))
        measured = list(_rows(archive, "extendedmeasurementorfact.txt"))
        scopes = list(_rows(archive, "humboldt.txt"))
    about = defaultdict(list)
    for row in [*events.values(), *scopes, *(row for row in measured if not row["occurrenceID"])]:
        about[row.get("coreid") or row["eventID"]].append(tuple(row.values()))

    def held(rows: Iterable[Row], column: str, event_column: str, kind: str) -> dict[str, Held]:
        return {
            row[column].partition(kind)[2].removesuffix("#number"): Held(
                tuple(row.values()),
                tuple(one for event in _chain(row[event_column], events) for one in about[event]),
            )
            for row in rows
            if kind in row[column]
        }

    zeros = [row for row in measured if row["measurementID"].endswith("#number")]
    return {
        "visit": held(events.values(), "eventID", "eventID", "/id/visit/"),
        "pit": held(events.values(), "eventID", "eventID", "/id/pit/"),
        "occurrence": held(found, "occurrenceID", "eventID", "/id/occurrence/")
        | held(zeros, "measurementID", "coreid", "/id/occurrence/"),
    }


def _chain(event: str, events: dict[str, Row]) -> Iterator[str]:
    while event:
        yield event
        event = events[event]["parentEventID"]


def _rows(archive: ZipFile, name: str) -> Iterator[Row]:
    head, *lines = archive.read(name).decode().splitlines()
    for line in lines:
        yield dict(zip(head.split("\t"), line.split("\t"), strict=True))
