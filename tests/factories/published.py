"""Published rows: one of each, rows that belong together, and a small whole release.

A release stands for itself: no factory here needs the private side's tables, only the protocol
files, whose dump is what a release stores.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

from factory import LazyAttribute, LazyFunction, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from portal.archive.absence import judge
from portal.archive.edition import edition_of
from portal.blurring.places import public_place
from portal.blurring.rules import GeneralisationRules
from portal.records.models import (
    ChangeEntry,
    PitColumns,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    RowVersion,
    Tombstone,
    VisitColumns,
)
from portal.records.queries import newest_entry
from surveys.protocol.definition import library

GARDEN_CELL = "0.01|52.88|-0.72"
SCHOOL_CELL = "0.1|52.8|-0.6"

HAND_SORT, EXPELLANT = "hand_sort", "expellant"
GROUP_LINES = (
    ("epigeic", "adult"),
    ("endogeic", "adult"),
    ("anecic", "adult"),
    ("unassigned", "juvenile"),
)
VISIT_COLUMNS = tuple(column.name for column in VisitColumns._meta.get_fields())
PIT_COLUMNS = tuple(column.name for column in PitColumns._meta.get_fields())


def protocol_dicts() -> list[dict[str, Any]]:
    """Return the protocols as a release stores them."""
    return [protocol.model_dump(mode="json") for protocol in library()]


def filter_text(words: list[str]) -> str:
    """Return words as the columns for filtering hold them: ``|flower bed|lawn|``."""
    return f"|{'|'.join(sorted(words))}|" if words else ""


def place_columns(cell: str) -> dict[str, Any]:
    """Return the columns of a public place by the name of its cell, ``root`` for none."""
    place = public_place(cell)
    return {
        "cell": place.cell,
        "cell_level": place.level,
        "latitude": None if place.latitude is None else float(place.latitude),
        "longitude": None if place.longitude is None else float(place.longitude),
        "uncertainty_m": place.uncertainty_m,
        "precision_deg": None if place.precision_deg is None else float(place.precision_deg),
        "footprint_wkt": place.footprint_wkt,
        "georeference_protocol": place.georeference_protocol,
        "data_generalizations": place.data_generalizations,
        "information_withheld": place.information_withheld,
    }


class ReleaseFactory(DjangoModelFactory[Release]):
    """A release that stores every protocol of the library."""

    class Meta:
        model = Release

    number = Sequence(lambda n: n + 1)
    issued_at = datetime(2025, 6, 30, 9, tzinfo=UTC)
    title = "Soil animals of paired pits"
    rights_holder = "Example Soil Survey Consortium"
    licence_id = "CC-BY-4.0"
    licence_url = "http://creativecommons.org/licenses/by/4.0/legalcode"
    rules = LazyFunction(lambda: GeneralisationRules().as_dict())
    credits = LazyFunction(list)
    protocols = LazyFunction(protocol_dicts)
    quality = LazyFunction(dict)


class ChangeEntryFactory(DjangoModelFactory[ChangeEntry]):
    """The next act of the feed, a withdrawal."""

    class Meta:
        model = ChangeEntry

    number = LazyFunction(lambda: newest_entry() + 1)
    at = datetime(2025, 7, 3, 14, tzinfo=UTC)


class TombstoneFactory(DjangoModelFactory[Tombstone]):
    """A visit that stood in the first release."""

    class Meta:
        model = Tombstone

    id = LazyFunction(uuid4)
    kind = "visit"
    withdrawn_on = date(2025, 7, 3)
    reason_class = "double"
    first_release = 1
    last_release = 1
    entry = SubFactory(ChangeEntryFactory)


class _VisitColumnsFactory(DjangoModelFactory[Any]):
    class Meta:
        abstract = True

    id = LazyFunction(uuid4)
    since_release = 1
    modified_at = datetime(2025, 6, 30, 9, tzinfo=UTC)

    visit_id: Any = LazyFunction(uuid4)
    site_id = LazyFunction(uuid4)
    group_code = "ABC"
    sampled_on = "2025-03-15"
    sampled_first_on = date(2025, 3, 15)
    sampled_last_on = date(2025, 3, 15)
    date_precision = "day"
    season = "spring"
    protocol = "contrast-pit/2"
    paired = True
    people_digging = 2
    country_code = "GB"
    verification = "plausibility checked"
    remarks = ""

    cell = GARDEN_CELL
    cell_level = 4
    latitude = 52.885
    longitude = -0.715
    uncertainty_m = public_place(GARDEN_CELL).uncertainty_m
    precision_deg = 0.01
    footprint_wkt = public_place(GARDEN_CELL).footprint_wkt
    georeference_protocol = public_place(GARDEN_CELL).georeference_protocol
    data_generalizations = public_place(GARDEN_CELL).data_generalizations
    information_withheld = public_place(GARDEN_CELL).information_withheld


class _PitColumnsFactory(_VisitColumnsFactory):
    class Meta:
        abstract = True

    pit_id: Any = LazyFunction(uuid4)
    habitat = "lawn"
    management = LazyFunction(lambda: ["mown"])
    management_text = LazyAttribute(lambda row: filter_text(row.management or []))
    management_state = "listed"
    width_cm = 20.0
    length_cm = 20.0
    depth_cm = 20.0
    area_m2 = 0.04
    sorting_minutes = 20
    sorted_to_end = True
    hand_sort = "done"
    expellant = "done"
    expellant_agent = "mustard water"
    expellant_ml = 500
    expellant_wait_min = 5
    effort_known = True
    moisture = "moist"
    fizz = "none"
    fizz_acid = "vinegar"
    texture = "loam"
    texture_key = "three-class texture by feel"
    colour = "10YR 4/3"
    colour_state = "moist"


class PublishedVisitFactory(_VisitColumnsFactory):
    """A visit of two pits in a garden, by day."""

    class Meta:
        model = PublishedVisit

    visit_id = SelfAttribute("id")
    pits = 2
    habitats = LazyFunction(lambda: ["lawn", "flower bed"])
    habitats_text = LazyAttribute(lambda row: filter_text(row.habitats))


class PublishedPitFactory(_PitColumnsFactory):
    """A square pit with both steps done and every soil fact noted."""

    class Meta:
        model = PublishedPit

    pit_id = SelfAttribute("id")
    found = 3


class PublishedCountFactory(_PitColumnsFactory):
    """Three endogeic adults from hand sorting."""

    class Meta:
        model = PublishedCount

    method = HAND_SORT
    phase_id = LazyFunction(uuid4)
    group = "endogeic"
    stage = "adult"
    taxon = None
    coarse_taxon = "Lumbricidae"
    state = "counted"
    number = 3
    number_recorded = 3
    # As if the line were alone in its step; `counts_of` judges a whole one.
    occurrence_status = LazyAttribute(lambda row: _status_alone(row.number))


def pit_of(visit: PublishedVisit, **columns: Any) -> PublishedPit:
    """Make a pit that carries its visit's columns."""
    pit: PublishedPit = PublishedPitFactory.create(**_carried(visit, VISIT_COLUMNS) | columns)
    return pit


def count_of(pit: PublishedPit, **columns: Any) -> PublishedCount:
    """Make a count that carries its pit's columns; give `phase_id` to join it to others."""
    count: PublishedCount = PublishedCountFactory.create(**_carried(pit, PIT_COLUMNS) | columns)
    return count


def counts_of(
    pit: PublishedPit, method: str, numbers: tuple[int | str, ...], phase_id: UUID | None = None
) -> list[PublishedCount]:
    """Make the lines of one step by `GROUP_LINES`; a word in place of a number is the state."""
    phase = phase_id or uuid4()
    carried = _carried(pit, PIT_COLUMNS) | {"method": method, "phase_id": phase}
    counts: list[PublishedCount] = [
        PublishedCountFactory.build(
            **carried | {"group": group, "stage": stage} | _state_and_number(number)
        )
        for (group, stage), number in zip(GROUP_LINES, numbers, strict=True)
    ]
    judge(edition_of(ReleaseFactory.build()), counts)
    return PublishedCount.objects.bulk_create(counts)


def judged(counts: list[PublishedCount]) -> None:
    """Judge the stored lines of a step as publication does, and store that too."""
    judge(edition_of(ReleaseFactory.build()), counts)
    for count in counts:
        count.save(update_fields=["occurrence_status"])


def _status_alone(number: int | None) -> str | None:
    if number is None:
        return None
    return "present" if number else "absent"


def _state_and_number(number: int | str) -> dict[str, Any]:
    counted = isinstance(number, int)
    return {
        "state": "counted" if counted else number,
        "number": number if counted else None,
        "number_recorded": number if counted else None,
    }


def _carried(row: RowVersion, names: tuple[str, ...]) -> dict[str, Any]:
    versioning = ("since_release", "until_release", "hidden", "modified_at")
    return {name: getattr(row, name) for name in names + versioning}


@dataclass
class SmallRelease:
    """A release and its rows."""

    release: Release
    visits: list[PublishedVisit] = field(default_factory=list)
    pits: list[PublishedPit] = field(default_factory=list)
    counts: list[PublishedCount] = field(default_factory=list)


def small_release() -> SmallRelease:
    """Make a release of two visits with a pair of pits each.

    The garden visit was drenched, and one of its pits was searched and is empty. The school
    visit is shown by month in a coarser cell, poured nothing, and left one line blank.
    """
    small = SmallRelease(ReleaseFactory.create(number=1))
    garden = PublishedVisitFactory.create()
    school = PublishedVisitFactory.create(
        protocol="school-pit/1",
        sampled_on="2025-03",
        sampled_first_on=date(2025, 3, 1),
        sampled_last_on=date(2025, 3, 31),
        date_precision="month",
        people_digging=None,
        habitats=["lawn", "hedge"],
        **place_columns(SCHOOL_CELL),
    )
    small.visits += [garden, school]
    _add_pit(small, garden, "lawn", (1, 5, 0, 7), (0, 0, 2, 1))
    _add_pit(small, garden, "flower bed", (0, 0, 0, 0), (0, 0, 0, 0))
    _add_pit(small, school, "lawn", (0, 3, 0, 4))
    _add_pit(small, school, "hedge", (2, 1, 0, "not_entered"))
    return small


def _add_pit(
    small: SmallRelease,
    visit: PublishedVisit,
    habitat: str,
    sorted_out: tuple[int | str, ...],
    drenched: tuple[int | str, ...] | None = None,
) -> None:
    undrenched: dict[str, Any] = {
        "expellant": "not_done",
        "expellant_agent": None,
        "expellant_ml": None,
        "expellant_wait_min": None,
        "sorting_minutes": None,
        "sorted_to_end": None,
        "effort_known": False,
        "moisture": "not_looked_for",
        "texture": None,
        "texture_key": None,
    }
    found = sum(number for number in sorted_out + (drenched or ()) if isinstance(number, int))
    pit = pit_of(visit, habitat=habitat, found=found, **({} if drenched else undrenched))
    small.pits.append(pit)
    small.counts += counts_of(pit, HAND_SORT, sorted_out)
    small.counts += counts_of(pit, EXPELLANT, drenched or ("not_looked_for",) * len(GROUP_LINES))
