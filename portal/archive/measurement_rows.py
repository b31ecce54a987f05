"""Rows of the measurement file: soil facts of a pit; group and density of an occurrence; zeros.

The zero of a line beside animals of the same taxon is a measurement of its step, so that no
zero is lost and none is taken for an absence.

A measurement has no stored id of its own. It is named by the permanent address of its record
and the kind of measurement, so that it is unique and stays the same from release to release.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any, NamedTuple

from portal.archive import addresses
from portal.archive.absence import occurrences_of, zeros_beside_finds
from portal.archive.edition import Edition, identification_of
from portal.archive.reading import StepTree, VisitTree
from portal.archive.taxa import label
from portal.records.models import PublishedCount, PublishedPit

Row = dict[str, Any]
NOT_LOOKED_FOR = "not_looked_for"  # stands in a soil field that was left out on purpose
_TWO_DECIMALS = Decimal("0.01")


class SoilFact(NamedTuple):
    """A field of a pit, the kind of measurement it is, and how the field that says how begins."""

    field: str
    kind: str
    method: str
    method_field: str


# The last two: fixed words, then a field of the pit that completes them.
SOIL_FACTS = (
    SoilFact("moisture", "soil moisture class", "squeeze test", ""),
    SoilFact("fizz", "acid reaction class", "", "fizz_acid"),
    SoilFact("texture", "soil texture class", "", "texture_key"),
    SoilFact("colour", "soil colour", "colour chart", "colour_state"),
)


def measurement_rows(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    """Yield the measurements of a visit: soil and management of its pits, then its counts."""
    for pit in visit.pits:
        yield from _soil(pit.row)
        yield from _management(pit.row)
    for pit in visit.pits:
        for step in pit.steps:
            yield from _counts(edition, step)


def line_name(edition: Edition, count: PublishedCount) -> str:
    """Return the name of a line of the form, such as ``endogeic earthworm, adult``."""
    lineage = identification_of(edition, count).lineage
    parts = (label(count.taxon, count.group, lineage), count.stage)
    return ", ".join(part for part in parts if part)


def _counts(edition: Edition, step: StepTree) -> Iterator[Row]:
    for count in occurrences_of(step):
        yield from _group(count)
        yield _density(count)
    for count in zeros_beside_finds(step):
        yield _zero(edition, count)


def soil_facts(pit: PublishedPit) -> Iterator[tuple[SoilFact, str]]:
    """Yield the soil facts that were noted, each with its value."""
    for fact in SOIL_FACTS:
        value = getattr(pit, fact.field)
        if value and value != NOT_LOOKED_FOR:
            yield fact, value


def _soil(pit: PublishedPit) -> Iterator[Row]:
    for fact, value in soil_facts(pit):
        how = getattr(pit, fact.method_field) if fact.method_field else ""
        yield _of_pit(pit, fact.field, fact.kind, value) | {
            "measurementMethod": ", ".join(part for part in (fact.method, how) if part)
        }


def _management(pit: PublishedPit) -> Iterator[Row]:
    for word in pit.management or []:
        row = _of_pit(pit, "management", "land management", word)
        yield row | {"measurementID": f"{row['measurementID']}-{word.replace(' ', '-')}"}


def _group(count: PublishedCount) -> Iterator[Row]:
    if count.group != "unassigned":
        yield _of_count(count, "group", "ecological group", count.group)


def _density(count: PublishedCount) -> Row:
    area_m2 = Decimal(repr(count.area_m2))
    density = (Decimal(count.number or 0) / area_m2).quantize(_TWO_DECIMALS)
    return _of_count(count, "density_per_m2", "density", density) | {
        "measurementUnit": "individuals/m²",
        "measurementMethod": "individualCount / sampleSizeValue",
    }


def _zero(edition: Edition, count: PublishedCount) -> Row:
    name = identification_of(edition, count).scientific_name
    return {
        "coreid": addresses.permanent("phase", count.phase_id),
        "measurementID": f"{addresses.permanent('occurrence', count.id)}#number",
        "measurementType": f"number of animals: {line_name(edition, count)}",
        "measurementTypeID": addresses.field("number"),
        "measurementValue": 0,
        "measurementUnit": "individuals",
        "measurementRemarks": f"Zero of one line, not an absence of {name} from this event.",
    }


def _of_pit(pit: PublishedPit, field: str, kind: str, value: str) -> Row:
    event = addresses.permanent("pit", pit.pit_id)
    return {
        "coreid": event,
        "measurementID": f"{event}#{field}",
        "measurementType": kind,
        "measurementTypeID": addresses.field(field),
        "measurementValue": value,
    }


def _of_count(count: PublishedCount, field: str, kind: str, value: str | Decimal) -> Row:
    occurrence = addresses.permanent("occurrence", count.id)
    return {
        "coreid": addresses.permanent("phase", count.phase_id),
        "measurementID": f"{occurrence}#{field}",
        "occurrenceID": occurrence,
        "measurementType": kind,
        "measurementTypeID": addresses.field(field),
        "measurementValue": value,
    }
