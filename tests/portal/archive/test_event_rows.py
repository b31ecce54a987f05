"""Rows of the event file beyond what the conformance checks see."""

from datetime import UTC, datetime

import pytest

from portal.archive.edition import edition_of
from portal.archive.event_rows import event_rows, metres
from portal.archive.reading import PitTree, StepTree, VisitTree
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    pit_of,
)

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("length_cm", "length_m"), [(20.0, 0.2), (29.0, 0.29), (7.5, 0.075)])
def test_metres_have_no_binary_noise(length_cm: float, length_m: float) -> None:
    assert metres(length_cm) == length_m


def test_exact_place_is_a_point_without_outline() -> None:
    visit = PublishedVisitFactory.create(
        latitude=52.12345,
        longitude=-0.76543,
        uncertainty_m=8,
        precision_deg=0.00001,
        cell_level=5,
        footprint_wkt="",
    )

    (row,) = event_rows(edition_of(ReleaseFactory.create()), VisitTree(visit, []))

    assert (row["decimalLatitude"], row["decimalLongitude"]) == (52.12345, -0.76543)
    assert not row["footprintWKT"]
    assert not row["footprintSRS"]


def test_depth_of_a_drench_is_unknown_but_its_area_is_that_of_the_pit() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit)
    step = StepTree([count_of(pit, method="expellant")])

    rows = event_rows(edition_of(ReleaseFactory.create()), VisitTree(visit, [PitTree(pit, [step])]))

    drench = list(rows)[-1]
    assert drench["eventType"] == "extractionPhase"
    assert "maximumDepthInMeters" not in drench
    assert drench["sampleSizeValue"] == 0.04
    assert drench["samplingProtocol"].startswith("drench of the pit floor (")


def test_step_is_as_new_as_its_newest_count() -> None:
    visit = PublishedVisitFactory.create()
    pit = pit_of(visit)
    newest = datetime(2025, 12, 1, tzinfo=UTC)
    older = count_of(pit)
    newer = count_of(pit, phase_id=older.phase_id, modified_at=newest)

    rows = event_rows(
        edition_of(ReleaseFactory.create()),
        VisitTree(visit, [PitTree(pit, [StepTree([older, newer])])]),
    )

    assert [row["modified"] for row in rows] == [visit.modified_at, pit.modified_at, newest]
