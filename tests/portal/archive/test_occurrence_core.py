"""Rows of the archive of occurrences alone, beyond what the conformance checks see."""

import json
from typing import Any

import pytest

from portal.archive.edition import edition_of
from portal.archive.occurrence_core import occurrence_core_rows, pits_without_row
from portal.archive.reading import PitTree, StepTree, VisitTree
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    counts_of,
    pit_of,
)

pytestmark = pytest.mark.django_db


def tree(*numbers: int | str, **columns: Any) -> VisitTree:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit, **columns)
    return VisitTree(visit, [PitTree(pit, [StepTree(counts_of(pit, "hand_sort", numbers))])])


def rows_of(visit: VisitTree) -> list[dict[str, Any]]:
    return list(occurrence_core_rows(edition_of(ReleaseFactory.create()), visit))


def test_properties_are_soil_group_management_and_zeros_by_sorted_keys() -> None:
    first, _ = rows_of(tree(1, 0, 0, 2, management=["direct drilled", "ploughed"]))

    properties = json.loads(first["dynamicProperties"])
    assert properties == {
        "acidReactionClass": "none",
        "ecologicalGroup": "epigeic",
        "landManagement": ["direct drilled", "ploughed"],
        "linesWithoutAnimals": ["anecic earthworm, adult", "endogeic earthworm, adult"],
        "soilColour": "10YR 4/3",
        "soilMoistureClass": "moist",
        "soilTextureClass": "loam",
    }
    assert list(properties) == sorted(properties)


def test_what_was_not_noted_is_no_property() -> None:
    blank = {"moisture": "not_looked_for", "fizz": None, "texture": None, "colour": None}

    *_, last = rows_of(tree(0, 0, 0, 0, management=None, **blank))

    assert last["dynamicProperties"] == ""


def test_row_leads_to_its_own_record_and_stands_in_its_event() -> None:
    visit = tree(1, 0, 0, 2)

    row = rows_of(visit)[0]

    count = visit.pits[0].steps[0].counts[0]
    assert row["references"] == row["occurrenceID"]
    assert row["eventID"].endswith(f"/id/phase/{count.phase_id}")
    assert row["parentEventID"].endswith(f"/id/pit/{count.pit_id}")
    assert row["decimalLatitude"] == count.latitude


@pytest.mark.parametrize(
    ("numbers", "without"),
    [
        ((0, 0, 0, 0), 0),
        ((1, 0, 0, 0), 0),
        (("not_entered",) * 4, 1),
        ((0, "not_entered", 0, 0), 1),
    ],
)
def test_pit_without_find_and_absence_is_counted(
    numbers: tuple[int | str, ...], without: int
) -> None:
    visit = tree(*numbers)

    assert pits_without_row(visit.pits) == without
    assert bool(rows_of(visit)) is not bool(without)
