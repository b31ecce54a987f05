"""Coverage of a release."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from portal.archive.coverage import Box, coverage_of
from portal.archive.edition import edition_of
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    judged,
    pit_of,
    place_columns,
)

pytestmark = pytest.mark.django_db


def test_coverage_of_nothing_is_nothing() -> None:
    coverage = coverage_of(edition_of(ReleaseFactory.create(number=1)))

    assert coverage.box is None
    assert coverage.first_on is coverage.last_on is None
    assert coverage.taxa == ()


def test_coverage_joins_cells_and_exact_points() -> None:
    PublishedVisitFactory.create(**place_columns("0.01|51.23|-1.46"))
    PublishedVisitFactory.create(**place_columns("0.1|-33.9|18.4"))
    PublishedVisitFactory.create(
        latitude=60.5, longitude=25.25, uncertainty_m=8, cell_level=5, footprint_wkt=""
    )
    PublishedVisitFactory.create(**place_columns("root"))
    PublishedVisitFactory.create(cell="root", cell_level=0, longitude=80.5, footprint_wkt="")

    coverage = coverage_of(edition_of(ReleaseFactory.create(number=1)))

    assert coverage.box == Box(
        west=Decimal("-1.46"), south=Decimal("-33.9"), east=Decimal("25.25"), north=Decimal("60.5")
    )


def test_coverage_keeps_to_the_rows_of_its_release() -> None:
    PublishedVisitFactory.create(
        sampled_first_on=date(2024, 9, 20), sampled_last_on=date(2024, 9, 20)
    )
    PublishedVisitFactory.create(since_release=2, sampled_last_on=date(2025, 5, 1))

    coverage = coverage_of(edition_of(ReleaseFactory.create(number=1)))

    assert (coverage.first_on, coverage.last_on) == (date(2024, 9, 20), date(2024, 9, 20))


def test_coverage_names_the_taxa_of_counted_lines_once() -> None:
    pit = pit_of(PublishedVisitFactory.create())
    count_of(pit)
    count_of(pit, group="epigeic")
    count_of(pit, taxon="Lumbricus rubellus")
    count_of(pit, taxon="Lumbricus castaneus", state="not_looked_for", number=None)

    coverage = coverage_of(edition_of(ReleaseFactory.create(number=1)))

    assert [taxon.name for taxon in coverage.taxa] == ["Lumbricidae", "Lumbricus rubellus"]


def test_coverage_names_what_was_absent_and_never_found() -> None:
    pit = pit_of(PublishedVisitFactory.create(protocol="species-pit/1"))
    count_of(pit, taxon="Lumbricus rubellus", number=0)

    coverage = coverage_of(edition_of(ReleaseFactory.create(number=1)))

    assert [taxon.name for taxon in coverage.taxa] == ["Lumbricus rubellus"]


def test_coverage_leaves_out_a_zero_that_may_be_a_find_of_another_line() -> None:
    step = uuid4()
    pit = pit_of(PublishedVisitFactory.create(protocol="species-pit/1"))
    zero = count_of(pit, phase_id=step, taxon="Lumbricus rubellus", number=0)
    judged([zero, count_of(pit, phase_id=step, taxon=None, number=3)])

    coverage = coverage_of(edition_of(ReleaseFactory.create(number=1)))

    assert [taxon.name for taxon in coverage.taxa] == ["Lumbricidae"]
