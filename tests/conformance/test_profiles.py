"""Check 30: both generations of the standard, differing by what is written down and no more."""

import pytest

from portal.archive.profiles import NEWER_COLUMNS, OCCURRENCE_STATUS
from tests.conformance.conftest import Written
from tests.conformance.reading import Archive, Table

# dwc:eventCategory, dwc:preferredSpatialRepresentation: words of the term list of 2026-05-26.
CATEGORIES = {"Survey"}
REPRESENTATIONS = {"footprint", "point-radius", ""}
STATUS = dict(zip(OCCURRENCE_STATUS["2023-09"], OCCURRENCE_STATUS["2026-05"], strict=True))
NEWER = [column.header for column in NEWER_COLUMNS]


@pytest.fixture(params=[("archive", "newer"), ("flat", "flat_newer")], ids="-".join)
def pair(written: Written, request: pytest.FixtureRequest) -> tuple[Archive, Archive]:
    """Return one form in the older and the newer profile."""
    older, newer = request.param
    return getattr(written, older), getattr(written, newer)


def made_older(rows: Table) -> Table:
    """Take from rows of the newer profile what is documented as its difference."""
    words = {newer: older for older, newer in STATUS.items()}
    return [
        {
            name: words[value] if name == "occurrenceStatus" else value
            for name, value in row.items()
            if name not in NEWER
        }
        for row in rows
    ]


def test_rows_differ_only_by_what_is_documented(pair: tuple[Archive, Archive]) -> None:
    older, newer = pair

    assert older.tables.keys() == newer.tables.keys()
    for kind, rows in newer.tables.items():
        assert made_older(rows) == older[kind]
        assert rows != older[kind] or kind in {"humboldt", "measurement"}


def test_descriptors_differ_only_by_the_newer_columns(pair: tuple[Archive, Archive]) -> None:
    older, newer = (archive.members["meta.xml"].decode().splitlines() for archive in pair)

    added = [line for line in newer if line not in older]

    assert [line for line in newer if line in older] == older
    assert [line.partition("terms/")[2].partition('"')[0] for line in added] == NEWER


def test_metadata_does_not_differ(pair: tuple[Archive, Archive]) -> None:
    older, newer = pair

    assert older.members["eml.xml"] == newer.members["eml.xml"]
    assert older.members.keys() == newer.members.keys()


def test_words_of_the_status_are_those_of_each_generation(pair: tuple[Archive, Archive]) -> None:
    # dwc:occurrenceStatus, TDWG: recommended values of 2023-06-28 and of 2026-05-26.
    older, newer = ({row["occurrenceStatus"] for row in form["occurrence"]} for form in pair)

    assert older == {"present", "absent"}
    assert newer == {"detected", "notDetected"}


def test_newer_columns_are_filled_by_what_the_rows_say(newer: Archive) -> None:
    for event in newer["event"]:
        assert event["eventCategory"] in CATEGORIES
        assert event["sampledSubstrateCategory"] == "soil"
        assert event["preferredSpatialRepresentation"] in REPRESENTATIONS
        assert bool(event["preferredSpatialRepresentation"]) is bool(event["decimalLatitude"])
        assert (event["preferredSpatialRepresentation"] == "footprint") is bool(
            event["footprintWKT"]
        )
