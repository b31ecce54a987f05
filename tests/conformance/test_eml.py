"""Checks 18 and 19, metadata (EML 2.2.0): what aggregators ask for, figures computed again."""

import calendar
import re
from decimal import Decimal

import pytest

from tests.conformance.conftest import Written
from tests.conformance.reading import Archive
from tests.conformance.standards import Judge, needs_shared, second_opinion, violations

# EML asks for title, creator and contact; the rest is usual for aggregators (from memory).
REQUIRED = [
    "alternateIdentifier", "title", "creator/organizationName", "creator/electronicMailAddress",
    "metadataProvider/organizationName", "metadataProvider/electronicMailAddress", "pubDate",
    "language", "abstract/para", "intellectualRights/para/ulink/citetitle",
    "licensed/licenseName", "licensed/url", "licensed/identifier", "distribution/online/url",
    "coverage/geographicCoverage/geographicDescription",
    "coverage/temporalCoverage/rangeOfDates/beginDate/calendarDate",
    "coverage/taxonomicCoverage/taxonomicClassification/taxonRankValue",
    "maintenance/maintenanceUpdateFrequency", "contact/organizationName",
    "contact/electronicMailAddress", "methods/methodStep/description/para",
    "methods/sampling/studyExtent/description/para", "methods/sampling/samplingDescription/para",
    "methods/qualityControl/description/para", "project/personnel/organizationName",
]  # fmt: skip

# maintenanceUpdateFrequency, EML 2.2.0, without its misspelt entry.
FREQUENCIES = {
    "annually", "asNeeded", "biannually", "continually", "daily", "irregular", "monthly",
    "notPlanned", "weekly", "unknown", "otherMaintenancePeriod",
}  # fmt: skip


def text(archive: Archive, path: str) -> str:
    return (archive.eml.findtext(f"dataset/{path}") or "").strip()


@needs_shared
@pytest.mark.parametrize("judge", [violations, second_opinion])
def test_eml_is_valid_by_the_schema(archive: Archive, judge: Judge) -> None:
    assert judge("eml-2.2.0/eml.xsd", archive.members["eml.xml"]) == []


@needs_shared
@pytest.mark.parametrize("judge", [violations, second_opinion])
def test_eml_schema_sees_a_planted_fault(archive: Archive, judge: Judge) -> None:
    spoilt = archive.members["eml.xml"].replace(b"irregular", b"now and then")

    assert judge("eml-2.2.0/eml.xsd", spoilt)


@pytest.mark.parametrize("path", REQUIRED)
def test_eml_says_what_aggregators_ask_for(archive: Archive, path: str) -> None:
    assert text(archive, path)


def test_eml_licence_is_that_of_every_row(archive: Archive) -> None:
    link = archive.eml.find("dataset/intellectualRights/para/ulink")
    rows = {event["license"] for event in archive["event"]}

    assert link is not None
    assert rows == {link.attrib["url"]} == {text(archive, "licensed/url")}
    assert text(archive, "licensed/identifier") == "CC-BY-4.0"  # SPDX


def test_eml_dataset_is_that_of_every_row(archive: Archive) -> None:
    assert {event["datasetID"] for event in archive["event"]} == {
        text(archive, "alternateIdentifier")
    }
    assert {event["datasetName"] for event in archive["event"]} == {text(archive, "title")}


def test_eml_package_is_named_by_dataset_and_release(archive: Archive) -> None:
    assert archive.eml.attrib["packageId"] == "https://data.example.org/dataset/1"


def test_eml_box_is_that_of_the_published_cells(archive: Archive) -> None:
    numbers = [
        [Decimal(number) for number in re.findall(r"-?[0-9.]+", event["footprintWKT"])]
        for event in archive["event"]
    ]
    longitudes = [number for ring in numbers for number in ring[::2]]
    latitudes = [number for ring in numbers for number in ring[1::2]]

    box = {
        side: Decimal(
            text(
                archive, f"coverage/geographicCoverage/boundingCoordinates/{side}BoundingCoordinate"
            )
        )
        for side in ("west", "south", "east", "north")
    }

    assert box == {
        "west": min(longitudes),
        "south": min(latitudes),
        "east": max(longitudes),
        "north": max(latitudes),
    }


def test_eml_dates_span_those_of_the_events(archive: Archive) -> None:
    first, last = [], []
    for event in archive["event"]:
        year, month = int(event["year"]), int(event["month"])
        days = [int(event["day"])] if event["day"] else [1, calendar.monthrange(year, month)[1]]
        first.append(f"{year:04}-{month:02}-{days[0]:02}")
        last.append(f"{year:04}-{month:02}-{days[-1]:02}")

    path = "coverage/temporalCoverage/rangeOfDates"

    assert text(archive, f"{path}/beginDate/calendarDate") == min(first)
    assert text(archive, f"{path}/endDate/calendarDate") == max(last)


def test_eml_taxa_are_those_of_the_occurrences(archive: Archive) -> None:
    taxa = archive.eml.findall("dataset/coverage/taxonomicCoverage/taxonomicClassification")

    told = {(taxon.findtext("taxonRankName"), taxon.findtext("taxonRankValue")) for taxon in taxa}

    assert len(told) == len(taxa)
    assert told == {(row["taxonRank"], row["scientificName"]) for row in archive["occurrence"]}


def test_eml_frequency_is_a_word_of_the_list(archive: Archive) -> None:
    assert text(archive, "maintenance/maintenanceUpdateFrequency") in FREQUENCIES


def test_eml_methods_describe_each_protocol(archive: Archive) -> None:
    steps = archive.eml.findall("dataset/methods/methodStep/description/para")
    told = " ".join(step.text or "" for step in steps)

    assert {event["samplingProtocol"] for event in archive.events("soilPit")}
    for event in archive.events("soilPit"):
        assert event["samplingProtocol"] in told


def test_eml_names_no_person(archive: Archive) -> None:
    assert archive.eml.findall(".//individualName") == []


def test_eml_carries_the_citation_of_the_release(archive: Archive, written: Written) -> None:
    citation = archive.eml.findtext("additionalMetadata/metadata/release/citation")

    assert citation == written.small.release.citation
