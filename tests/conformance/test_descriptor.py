"""Checks 2 and 3: descriptors against the text guide, its schema, and the list of terms."""

import csv
import re
from typing import get_args

import pytest

from portal.archive.profiles import Profile, event_files, occurrence_files
from tests.conformance.reading import ROW_TYPES, Archive
from tests.conformance.standards import (
    REFERENCE,
    SHARED,
    Judge,
    needs_shared,
    second_opinion,
    violations,
)
from tests.conformance.text_guide import faults

GUIDE = "darwin-core/text/tdwg_dwc_text.xsd"

# First issued on 2026-05-26 (Darwin Core term list, TDWG): older consumers do not know them.
NEWER_THAN_CONSUMERS = {
    "http://rs.tdwg.org/dwc/terms/eventCategory",
    "http://rs.tdwg.org/dwc/terms/sampledSubstrateCategory",
    "http://rs.tdwg.org/dwc/terms/preferredSpatialRepresentation",
}
DARWIN_CORE = "http://rs.tdwg.org/dwc/terms/"


def used_terms(profile: Profile) -> set[str]:
    files = event_files(profile) + occurrence_files(profile)
    return {column.term for file in files for column in file.columns}


def test_descriptor_keeps_to_the_text_guide(form: Archive) -> None:
    assert faults(form.members["meta.xml"], form.members) == []


@pytest.mark.parametrize(
    ("good", "bad", "fault"),
    [
        ('index="3" term', 'index="4" term', "exactly once"),
        ("/terms/month", "/terms/year", "twice"),
        ("/terms/habitat", "/terms/biome", "is headed habitat"),
        ("eml.xml", "metadata.xml", "no metadata file"),
        ("humboldt.txt", "scope.txt", "scope.txt is missing"),
        ('fieldsEnclosedBy=""', 'fieldsEnclosedBy="&quot;"', "fieldsEnclosedBy"),
        ('<id index="0"', '<id index="1"', "no id"),
        ('index="35" term', 'index="35" default="x" term', "attribute default"),
    ],
)
def test_text_guide_rules_see_a_planted_fault(
    archive: Archive, good: str, bad: str, fault: str
) -> None:
    spoilt = archive.members["meta.xml"].decode().replace(good, bad).encode()

    found = faults(spoilt, archive.members)

    assert any(fault in text for text in found)


@pytest.mark.parametrize("profile", get_args(Profile))
def test_descriptor_declares_the_row_types_of_the_standard(profile: Profile) -> None:
    events, occurrences = event_files(profile), occurrence_files(profile)

    assert {file.row_type for file in events} == set(ROW_TYPES)
    assert [file.is_core for file in events] == [True, False, False, False]
    assert [(file.row_type, file.is_core) for file in occurrences] == [
        ("http://rs.tdwg.org/dwc/terms/Occurrence", True)
    ]


def test_terms_are_those_of_the_standards() -> None:
    with (REFERENCE / "darwin_core_terms.csv").open(encoding="utf-8", newline="") as lines:
        known = {row["term_iri"]: row["status"] for row in csv.DictReader(lines)}

    assert used_terms("2026-05") == set(known)
    assert set(known.values()) == {"recommended", "community definition"}


def test_terms_newer_than_consumers_stand_only_in_the_newer_profile() -> None:
    assert used_terms("2026-05") - used_terms("2023-09") == NEWER_THAN_CONSUMERS


@needs_shared
def test_terms_of_the_older_profile_are_as_old_as_it_says() -> None:
    path = SHARED / "standards" / "darwin-core" / "terms" / "term_versions.csv"
    first_issued: dict[str, str] = {}
    with path.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            term = row["term_iri"]
            first_issued[term] = min(first_issued.get(term, "9999"), row["issued"])

    # Terms of Dublin Core are older than the list, which knows only its own versions of them.
    own = {term for term in used_terms("2026-05") if term.startswith(DARWIN_CORE)}
    dates = {term: first_issued[term] for term in own}

    assert {term for term, day in dates.items() if day > "2023-09-18"} == NEWER_THAN_CONSUMERS


@needs_shared
def test_terms_agree_with_the_full_term_lists() -> None:
    standards = SHARED / "standards"
    lists = [
        standards / "darwin-core" / "terms" / "dwc_terms_current.csv",
        standards / "humboldt" / "eco_terms_current.csv",
    ]
    recommended = set()
    for path in lists:
        with path.open(encoding="utf-8", newline="") as lines:
            rows = csv.DictReader(lines)
            recommended |= {row["term_iri"] for row in rows if row["status"] == "recommended"}

    others = used_terms("2026-05") - recommended

    assert others == {"http://rs.iobis.org/obis/terms/measurementTypeID"}


@needs_shared
@pytest.mark.parametrize("profile", get_args(Profile))
def test_columns_are_allowed_in_their_row_type(profile: Profile) -> None:
    path = SHARED / "standards" / "darwin-core" / "text" / "rowtypes.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        allowed = {row["row_type"]: row["terms"] for row in csv.DictReader(lines)}

    for file in event_files(profile) + occurrence_files(profile):
        names = {re.split("[:/]", term)[-1] for term in allowed[file.row_type].split(" | ")}
        assert {column.header for column in file.columns} <= names


@needs_shared
@pytest.mark.parametrize("judge", [violations, second_opinion])
def test_descriptor_is_valid_by_the_schema(form: Archive, judge: Judge) -> None:
    assert judge(GUIDE, form.members["meta.xml"]) == []


@needs_shared
@pytest.mark.parametrize("judge", [violations, second_opinion])
def test_schema_sees_a_planted_fault(archive: Archive, judge: Judge) -> None:
    spoilt = archive.members["meta.xml"].replace(
        b'rowType="http://rs.tdwg.org/dwc/terms/Event"', b""
    )

    assert judge(GUIDE, spoilt)
