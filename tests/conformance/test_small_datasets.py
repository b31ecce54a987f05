"""Check 31, the smallest releases: no row at all, and one pit alone."""

import pytest
from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from tests.conformance.conftest import OWN_SETTINGS, Written, written_out
from tests.conformance.reading import Archive, members_of
from tests.conformance.standards import Judge, needs_shared, second_opinion, violations
from tests.conformance.text_guide import faults
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    SmallRelease,
    count_of,
    pit_of,
    place_columns,
)

pytestmark = pytest.mark.django_db
FORMS = ["archive", "newer", "flat", "flat_newer"]


def _empty() -> SmallRelease:
    return SmallRelease(ReleaseFactory.create(number=1, protocols=[]))


def _lone() -> SmallRelease:
    visit = PublishedVisitFactory.create(pits=1, habitats=["lawn"], **place_columns("root"))
    count_of(pit_of(visit), number=0)
    return SmallRelease(ReleaseFactory.create(number=1))


@pytest.fixture(scope="module")
def smallest(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
) -> dict[str, Written]:
    """Return a release without rows and protocols, and one of a single count, written once.

    The place of the single count is not shown.
    """
    found = {}
    for name, make in (("empty", _empty), ("lone", _lone)):
        with django_db_blocker.unblock(), override_settings(**OWN_SETTINGS), transaction.atomic():
            found[name] = written_out(make())
            transaction.set_rollback(True)
    return found


@pytest.fixture
def empty(smallest: dict[str, Written]) -> Written:
    """Return the files of a release without rows and protocols."""
    return smallest["empty"]


@pytest.fixture
def lone(smallest: dict[str, Written]) -> Written:
    """Return the files of a release of one visit with one pit and one count."""
    return smallest["lone"]


@pytest.mark.parametrize("form", FORMS)
def test_empty_archive_has_every_file_with_its_header(empty: Written, form: str) -> None:
    archive: Archive = getattr(empty, form)

    assert set(archive.summary.rows.values()) == {0}
    assert faults(archive.members["meta.xml"], archive.members) == []
    assert all(archive.members[name].count(b"\n") == 1 for name in archive.summary.rows)


def test_empty_archive_claims_to_cover_nothing(empty: Written) -> None:
    assert empty.archive.eml.find("dataset/coverage") is None
    assert empty.archive.eml.find("dataset/methods") is None


@needs_shared
@pytest.mark.parametrize("judge", [violations, second_opinion])
@pytest.mark.parametrize("name", ["empty", "lone"])
@pytest.mark.parametrize("form", FORMS)
def test_smallest_archives_are_valid_by_the_schemas(
    smallest: dict[str, Written], name: str, form: str, judge: Judge
) -> None:
    archive: Archive = getattr(smallest[name], form)

    assert judge("eml-2.2.0/eml.xsd", archive.members["eml.xml"]) == []
    assert judge("darwin-core/text/tdwg_dwc_text.xsd", archive.members["meta.xml"]) == []


@pytest.mark.parametrize("name", ["empty", "lone"])
def test_smallest_data_packages_have_every_table_with_its_header(
    smallest: dict[str, Written], name: str
) -> None:
    members = members_of(smallest[name].files["data-package.zip"])
    tables = {file: content for file, content in members.items() if file.endswith(".csv")}

    rows = {file: content.count(b"\r\n") - 1 for file, content in tables.items()}

    assert len(rows) == 6
    assert (sum(rows.values()) == 0) is (name == "empty")
    assert rows["event.csv"] == (0 if name == "empty" else 3)


def test_lone_pit_makes_one_row_a_level(lone: Written) -> None:
    assert [event["eventType"] for event in lone.archive["event"]] == [
        "siteVisit",
        "soilPit",
        "extractionPhase",
    ]
    assert [row["occurrenceStatus"] for row in lone.archive["occurrence"]] == ["absent"]
    assert [row["occurrenceStatus"] for row in lone.flat["occurrence"]] == ["absent"]


def test_lone_place_without_coordinates_has_no_box(lone: Written) -> None:
    coverage = "dataset/coverage"

    assert lone.archive.eml.find(f"{coverage}/geographicCoverage") is None
    assert lone.archive.eml.find(f"{coverage}/temporalCoverage") is not None
