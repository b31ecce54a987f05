"""Every filter of every collection, by a row that it keeps and one that it drops."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

import pytest

from api.open.filters import FILTERS, MAX_WORDS, WORDS
from portal.records.vocabularies import VOCABULARIES
from tests.factories.published import (
    PublishedCountFactory,
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
)
from tests.journeys.actors import Actor

FACTORIES: dict[str, Any] = {
    "visits": PublishedVisitFactory,
    "pits": PublishedPitFactory,
    "counts": PublishedCountFactory,
    "occurrences": PublishedCountFactory,
}
AN_ID = "7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11"
ANOTHER_ID = "7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b12"


@dataclass(frozen=True)
class Case:
    """A value of a filter, the columns of a row that it keeps, and of one that it drops."""

    value: str
    kept: dict[str, Any]
    dropped: dict[str, Any]


def _column(column: str, value: str, kept: Any, dropped: Any) -> Case:
    return Case(value, {column: kept}, {column: dropped})


def _id(column: str) -> Case:
    return _column(column, AN_ID, UUID(AN_ID), UUID(ANOTHER_ID))


CASES: dict[str, Case] = {
    "sampled_from": _column("sampled_last_on", "2025-04-01", date(2025, 4, 1), date(2025, 3, 31)),
    "sampled_to": _column("sampled_first_on", "2025-04-01", date(2025, 4, 1), date(2025, 4, 2)),
    "bbox": Case(
        "-1,52.5,-0.5,53",
        {"latitude": 52.5, "longitude": -0.5},
        {"latitude": 52.5, "longitude": -0.49},
    ),
    "group_code": _column("group_code", "QVD", "QVD", None),
    "protocol": _column("protocol", "contrast-pit/1", "contrast-pit/1", "contrast-pit/2"),
    "season": _column("season", "autumn", "autumn", "spring"),
    "country": _column("country_code", "IE", "IE", "GB"),
    "cell": _column("cell", "0.1|52.8|-0.6", "0.1|52.8|-0.6", "0.1|52.8|-0.7"),
    "site_id": _id("site_id"),
    "visit_id": _id("visit_id"),
    "pit_id": _id("pit_id"),
    "phase_id": _id("phase_id"),
    "paired": _column("paired", "false", kept=False, dropped=True),
    "min_uncertainty_m": _column("uncertainty_m", "1000", 1000, 999),
    "min_cell_level": _column("cell_level", "4", 4, 3),
    "min_expellant_ml": _column("expellant_ml", "250", 250, None),
    "max_expellant_ml": _column("expellant_ml", "250", 250, 251),
    "min_expellant_wait_min": _column("expellant_wait_min", "5", 5, 4),
    "max_expellant_wait_min": _column("expellant_wait_min", "5", 5, None),
    "min_number_recorded": _column("number_recorded", "1", 1, 0),
    "max_number_recorded": _column("number_recorded", "0", 0, 1),
    "max_uncertainty_m": _column("uncertainty_m", "999.5", 999, 1000),
    "min_people_digging": _column("people_digging", "3", 3, 2),
    "max_people_digging": _column("people_digging", "3", 3, None),
    "habitat": _column("habitat", "flower bed", "flower bed", "lawn"),
    "management": _column("management", "mown", ["limed", "mown"], ["limed"]),
    "expellant": _column("expellant", "not_done", "not_done", "not_entered"),
    "moisture": _column("moisture", "not_looked_for", "not_looked_for", None),
    "texture": _column("texture", "clay", "clay", "loam"),
    "effort_known": _column("effort_known", "true", kept=True, dropped=False),
    "min_area_m2": _column("area_m2", "0.0625", 0.0625, 0.04),
    "max_area_m2": _column("area_m2", "0.04", 0.04, 0.0625),
    "min_depth_cm": _column("depth_cm", "20", 20.0, 19.99),
    "max_depth_cm": _column("depth_cm", "20", 20.0, 20.01),
    "min_sorting_minutes": _column("sorting_minutes", "0", 0, None),
    "max_sorting_minutes": _column("sorting_minutes", "0", 0, 1),
    "min_found": _column("found", "1", 1, 0),
    "max_found": _column("found", "0", 0, None),
    "group": _column("group", "anecic", "anecic", "endogeic"),
    "stage": _column("stage", "juvenile", "juvenile", "adult"),
    "method": _column("method", "expellant", "expellant", "hand_sort"),
    "taxon": _column("taxon", "Lumbricus terrestris", "Lumbricus terrestris", None),
    "state": Case(
        "counted", {"state": "counted", "number": 0}, {"state": "not_entered", "number": None}
    ),
    "verification": _column(
        "verification", "verified by specialist", "verified by specialist", "plausibility checked"
    ),
    "min_number": _column("number", "1", 1, 0),
    "max_number": _column("number", "0", 0, 1),
}
OF_VISITS = {"habitat": _column("habitats", "hedge", ["hedge", "lawn"], ["lawn"])}
EVERY = [(collection, name) for collection in FILTERS for name in FILTERS[collection].base_filters]

pytestmark = pytest.mark.django_db


def ids(answer: Any) -> list[str]:
    """Return the ids of the rows; an occurrence's is the end of its address."""
    assert answer.status_code == 200, answer.json()
    return [next(iter(row.values())).rpartition("/")[2] for row in answer.json()["data"]]


@pytest.mark.parametrize(("collection", "name"), EVERY)
def test_filter_keeps_and_drops(reader: Actor, collection: str, name: str) -> None:
    case = OF_VISITS.get(name, CASES[name]) if collection == "visits" else CASES[name]
    ReleaseFactory.create(number=1)
    kept = FACTORIES[collection].create(**case.kept)
    FACTORIES[collection].create(**case.dropped)

    answer = reader.get(f"/api/v1/{collection}?{urlencode({name: case.value})}")

    assert ids(answer) == [str(kept.id)]
    assert answer.json()["page"] == {"returned": 1, "matched": 1}


def test_every_case_is_of_a_filter() -> None:
    assert set(CASES) == {name for _, name in EVERY}


@pytest.mark.parametrize("query", ["season=spring,autumn", "season=autumn&season=spring"])
def test_words_by_commas_and_by_repeating_mean_any_of(reader: Actor, query: str) -> None:
    ReleaseFactory.create(number=1)
    for season in ("spring", "summer", "autumn"):
        PublishedPitFactory.create(season=season)

    answer = reader.get(f"/api/v1/pits?{query}")

    assert {row["season"] for row in answer.json()["data"]} == {"spring", "autumn"}
    assert answer.json()["meta"]["query"] == "/api/v1/pits?release=1&season=autumn%2Cspring"


@pytest.mark.parametrize("name", ["habitat", "management"])
def test_words_of_a_list_mean_any_of(reader: Actor, name: str) -> None:
    collection, column, words = {
        "habitat": ("visits", "habitats", ["hedge", "lawn", "scrub"]),
        "management": ("pits", "management", ["mown", "limed", "drained"]),
    }[name]
    ReleaseFactory.create(number=1)
    for word in words:
        FACTORIES[collection].create(**{column: [word]})

    answer = reader.get(f"/api/v1/{collection}?{name}={words[0]},{words[1]}")

    assert {row[column][0] for row in answer.json()["data"]} == set(words[:2])


@pytest.mark.parametrize(
    ("box", "longitudes"),
    [
        ("170,-20,-170,20", {175.5, -175.5, 170.0, -170.0}),
        ("-170,-20,170,20", {0.5, 170.0, -170.0}),
        ("-180,-90,180,90", {175.5, -175.5, 0.5, 170.0, -170.0}),
    ],
)
def test_box_crosses_the_antimeridian(reader: Actor, box: str, longitudes: set[float]) -> None:
    ReleaseFactory.create(number=1)
    for longitude in (175.5, -175.5, 0.5, 170.0, -170.0):
        PublishedVisitFactory.create(latitude=-16.5, longitude=longitude)
    PublishedVisitFactory.create(latitude=None, longitude=None, uncertainty_m=None)

    answer = reader.get(f"/api/v1/visits?bbox={box}")

    assert {row["longitude"] for row in answer.json()["data"]} == longitudes


def test_box_without_area_finds_the_very_centre(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    centre = PublishedVisitFactory.create()
    PublishedVisitFactory.create(latitude=52.875)

    assert ids(reader.get("/api/v1/visits?bbox=-0.715,52.885,-0.715,52.885")) == [str(centre.id)]


def test_month_is_found_by_any_of_its_days(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    school = PublishedVisitFactory.create(
        sampled_on="2025-03", sampled_first_on=date(2025, 3, 1), sampled_last_on=date(2025, 3, 31)
    )

    assert ids(reader.get("/api/v1/visits?sampled_from=2025-03-20")) == [str(school.id)]
    assert ids(reader.get("/api/v1/visits?sampled_to=2025-03-02")) == [str(school.id)]
    assert ids(reader.get("/api/v1/visits?sampled_from=2025-04-01")) == []


def test_filters_together_mean_all_of(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    wanted = PublishedPitFactory.create(habitat="hedge", season="autumn")
    PublishedPitFactory.create(habitat="hedge", season="spring")
    PublishedPitFactory.create(habitat="lawn", season="autumn")

    assert ids(reader.get("/api/v1/pits?habitat=hedge&season=autumn")) == [str(wanted.id)]


def test_closed_words_are_those_of_the_vocabularies() -> None:
    for name, words in WORDS.items():
        vocabulary = {"state": "count_state", "expellant": "phase_state"}.get(name, name)
        assert words == set(VOCABULARIES[vocabulary])


@pytest.mark.parametrize("collection", list(FILTERS))
def test_no_filter_reads_a_bookkeeping_column(collection: str) -> None:
    columns = {found.field_name for found in FILTERS[collection].base_filters.values()}

    assert columns.isdisjoint({"row", "since_release", "until_release", "hidden", "modified_at"})


def test_more_words_than_allowed_are_refused(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    cells = ",".join(str(number) for number in range(MAX_WORDS + 1))

    answer = reader.get(f"/api/v1/visits?cell={cells}")

    assert (answer.status_code, answer.json()["allowed"]) == (400, "at most 50 words")
