"""Measurements beyond what the conformance checks see."""

from decimal import Decimal
from typing import Any

import pytest

from portal.archive.edition import edition_of
from portal.archive.measurement_rows import SOIL_FACTS, measurement_rows
from portal.archive.reading import PitTree, StepTree, VisitTree
from portal.records.fields import every_field
from portal.records.models import PublishedPit, PublishedVisit
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    counts_of,
    pit_of,
)

pytestmark = pytest.mark.django_db


def rows_of(visit: PublishedVisit, pit: PublishedPit, *steps: StepTree) -> list[dict[str, Any]]:
    edition = edition_of(ReleaseFactory.create())
    return list(measurement_rows(edition, VisitTree(visit, [PitTree(pit, list(steps))])))


def test_soil_facts_name_how_they_were_found() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit, management=None, fizz="slight", fizz_acid="1 M hydrochloric acid")

    rows = rows_of(visit, pit)

    assert [(row["measurementType"], row["measurementMethod"]) for row in rows] == [
        ("soil moisture class", "squeeze test"),
        ("acid reaction class", "1 M hydrochloric acid"),
        ("soil texture class", "three-class texture by feel"),
        ("soil colour", "colour chart, moist"),
    ]


@pytest.mark.parametrize("blank", [None, "not_looked_for"])
def test_soil_fact_that_was_not_noted_is_no_measurement(blank: str | None) -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit, management=None, moisture=blank, fizz=blank, texture=blank)

    rows = rows_of(visit, pit)

    assert [row["measurementType"] for row in rows] == ["soil colour"]


def test_measurement_of_a_published_field_is_defined_under_its_name() -> None:
    names = {fact.field for fact in SOIL_FACTS} | {"management", "group"}

    assert names <= set(every_field())


def test_management_has_one_row_a_word_with_an_id_of_its_own() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit, management=["direct drilled", "sprayed"])

    rows = rows_of(visit, pit)[4:]

    assert [row["measurementValue"] for row in rows] == ["direct drilled", "sprayed"]
    assert [row["measurementID"].partition("#")[2] for row in rows] == [
        "management-direct-drilled",
        "management-sprayed",
    ]


@pytest.mark.parametrize(
    ("number", "area_m2", "density"),
    [
        (7, 0.04, "175.00"),  # 20 x 20 cm: times 25
        (7, 0.0625, "112.00"),  # 25 x 25 cm: times 16
        (0, 0.04, "0.00"),
        (1, 0.042, "23.81"),
    ],
)
def test_density_is_the_count_over_the_area(number: int, area_m2: float, density: str) -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit, area_m2=area_m2)
    step = StepTree([count_of(pit, number=number)])

    *_, row = rows_of(visit, pit, step)

    assert row["measurementType"] == "density"
    assert row["measurementValue"] == Decimal(density)


def test_animals_without_a_group_have_no_measurement_of_it() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit)
    step = StepTree([count_of(pit, group="unassigned", stage="juvenile")])

    rows = rows_of(visit, pit, step)

    assert "ecological group" not in {row["measurementType"] for row in rows}


def test_zero_beside_animals_is_a_number_of_its_step_under_the_id_of_its_line() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit)
    step = StepTree(counts_of(pit, "hand_sort", (0, 2, 0, 1)))

    *_, first, second = rows_of(visit, pit, step)

    assert [row["measurementType"] for row in (first, second)] == [
        "number of animals: epigeic earthworm, adult",
        "number of animals: anecic earthworm, adult",
    ]
    line = step.counts[0]
    assert first == first | {
        "coreid": f"http://localhost:8000/id/phase/{line.phase_id}",
        "measurementID": f"http://localhost:8000/id/occurrence/{line.id}#number",
        "measurementValue": 0,
        "measurementUnit": "individuals",
        "measurementRemarks": "Zero of one line, not an absence of Lumbricidae from this event.",
    }
    assert "occurrenceID" not in first


def test_zero_that_is_an_absence_is_no_number_of_its_step() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit)

    rows = rows_of(visit, pit, StepTree(counts_of(pit, "hand_sort", (0, 0, 0, 0))))

    assert [row["measurementType"] for row in rows].count("density") == 4
    assert not [row for row in rows if row["measurementType"].startswith("number of animals")]
