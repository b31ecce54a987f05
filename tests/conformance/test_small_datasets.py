"""The smallest releases: no row at all, and one pit alone."""

import pytest

from tests.conformance.reading import Archive, archive_of
from tests.conformance.standards import needs_shared, violations
from tests.conformance.text_guide import faults
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    count_of,
    pit_of,
    place_columns,
)


@pytest.fixture
def empty(db: None) -> Archive:  # noqa: ARG001 -- opens the database
    """Return the archive of a release without rows and protocols."""
    return archive_of(ReleaseFactory.create(number=1, protocols=[]))


@pytest.fixture
def lone(db: None) -> Archive:  # noqa: ARG001 -- opens the database
    """Return the archive of one visit without coordinates, with one pit and one count."""
    visit = PublishedVisitFactory.create(pits=1, habitats=["lawn"], **place_columns("root"))
    count_of(pit_of(visit), number=0)
    return archive_of(ReleaseFactory.create(number=1))


def test_empty_archive_has_every_file_with_its_header(empty: Archive) -> None:
    assert set(empty.summary.rows.values()) == {0}
    assert faults(empty.members["meta.xml"], empty.members) == []
    assert all(empty.members[name].count(b"\n") == 1 for name in empty.summary.rows)


def test_empty_archive_claims_to_cover_nothing(empty: Archive) -> None:
    assert empty.eml.find("dataset/coverage") is None
    assert empty.eml.find("dataset/methods") is None


@needs_shared
def test_empty_archive_is_valid_by_the_schemas(empty: Archive) -> None:
    assert violations("eml-2.2.0/eml.xsd", empty.members["eml.xml"]) == []
    assert violations("darwin-core/text/tdwg_dwc_text.xsd", empty.members["meta.xml"]) == []


def test_lone_pit_makes_one_row_a_level(lone: Archive) -> None:
    assert [event["eventType"] for event in lone["event"]] == [
        "siteVisit",
        "soilPit",
        "extractionPhase",
    ]
    assert [row["occurrenceStatus"] for row in lone["occurrence"]] == ["absent"]


def test_lone_place_without_coordinates_has_no_box(lone: Archive) -> None:
    assert lone.eml.find("dataset/coverage/geographicCoverage") is None
    assert lone.eml.find("dataset/coverage/temporalCoverage") is not None


@needs_shared
def test_lone_archive_is_valid_by_the_schemas(lone: Archive) -> None:
    assert violations("eml-2.2.0/eml.xsd", lone.members["eml.xml"]) == []
