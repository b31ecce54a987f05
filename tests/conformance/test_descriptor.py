"""The descriptor against the text guide, against its schema, and against the list of terms."""

import csv
import re

import pytest

from portal.archive.terms import DATA_FILES
from tests.conformance.reading import ROW_TYPES, Archive
from tests.conformance.standards import REFERENCE, SHARED, needs_shared, violations
from tests.conformance.text_guide import faults

# First issued on 2026-05-26 (Darwin Core term list, TDWG): older consumers do not know them.
NEWER_THAN_CONSUMERS = {
    "http://rs.tdwg.org/dwc/terms/eventCategory",
    "http://rs.tdwg.org/dwc/terms/sampledSubstrateCategory",
    "http://rs.tdwg.org/dwc/terms/preferredSpatialRepresentation",
}


def used_terms() -> set[str]:
    return {column.term for file in DATA_FILES for column in file.columns}


def test_descriptor_keeps_to_the_text_guide(archive: Archive) -> None:
    assert faults(archive.members["meta.xml"], archive.members) == []


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


def test_descriptor_declares_the_row_types_of_the_standard() -> None:
    assert {file.row_type for file in DATA_FILES} == set(ROW_TYPES)
    assert DATA_FILES[0].is_core
    assert sum(file.is_core for file in DATA_FILES) == 1


def test_terms_are_those_of_the_standards() -> None:
    with (REFERENCE / "darwin_core_terms.csv").open(encoding="utf-8", newline="") as lines:
        known = {row["term_iri"]: row["status"] for row in csv.DictReader(lines)}

    assert used_terms() == set(known)
    assert set(known.values()) == {"recommended", "community definition"}


def test_terms_are_known_to_older_consumers() -> None:
    assert used_terms().isdisjoint(NEWER_THAN_CONSUMERS)


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

    others = used_terms() - recommended

    assert others == {"http://rs.iobis.org/obis/terms/measurementTypeID"}


@needs_shared
def test_columns_are_allowed_in_their_row_type() -> None:
    path = SHARED / "standards" / "darwin-core" / "text" / "rowtypes.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        allowed = {row["row_type"]: row["terms"] for row in csv.DictReader(lines)}

    for file in DATA_FILES:
        names = {re.split("[:/]", term)[-1] for term in allowed[file.row_type].split(" | ")}
        assert {column.header for column in file.columns} <= names


@needs_shared
def test_descriptor_is_valid_by_the_schema(archive: Archive) -> None:
    assert violations("darwin-core/text/tdwg_dwc_text.xsd", archive.members["meta.xml"]) == []


@needs_shared
def test_schema_sees_a_planted_fault(archive: Archive) -> None:
    spoilt = archive.members["meta.xml"].replace(
        b'rowType="http://rs.tdwg.org/dwc/terms/Event"', b""
    )

    assert violations("darwin-core/text/tdwg_dwc_text.xsd", spoilt)
