"""Occurrences: words of closed lists, zeros against blanks, quantities, names."""

import csv
import json
import re
from collections import Counter

import pytest

from tests.conformance.conftest import Written
from tests.conformance.reading import Archive
from tests.conformance.standards import SHARED, needs_shared

# Checklist compiled from Sims & Gerard 1999 and Sherlock 2012.
RUBELLUS = "Lumbricus rubellus Hoffmeister, 1843"
TERRESTRIS = "Lumbricus terrestris Linnaeus, 1758"


def test_every_counted_line_is_an_occurrence_and_no_other(
    archive: Archive, written: Written
) -> None:
    counted = {
        f"https://data.example.org/id/occurrence/{count.id}"
        for count in written.small.counts
        if count.state == "counted"
    }

    assert {row["occurrenceID"] for row in archive["occurrence"]} == counted
    assert len(counted) < len(written.small.counts)


def test_zero_is_absent_and_nothing_else_is(archive: Archive, written: Written) -> None:
    numbers = {str(count.id): count.number for count in written.small.counts}

    for row in archive["occurrence"]:
        number = numbers[row["occurrenceID"].rpartition("/")[2]]
        assert row["individualCount"] == str(number)
        assert row["occurrenceStatus"] == ("absent" if number == 0 else "present")


def test_status_has_the_words_of_the_profile(written: Written) -> None:
    # dwc:occurrenceStatus, TDWG: recommended values of 2023-06-28 and of 2026-05-26.
    translation = {"present": "detected", "absent": "notDetected"}

    older = [row["occurrenceStatus"] for row in written.archive["occurrence"]]
    newer = [row["occurrenceStatus"] for row in written.newer["occurrence"]]

    assert set(older) == set(translation)
    assert newer == [translation[word] for word in older]


def test_quantity_repeats_the_count_with_its_type(archive: Archive) -> None:
    for row in archive["occurrence"]:
        assert re.fullmatch(r"0|[1-9]\d*", row["individualCount"])
        assert row["organismQuantity"] == row["individualCount"]
        assert row["organismQuantityType"] == "individuals"


@pytest.mark.parametrize(
    ("column", "words"),
    [
        ("basisOfRecord", {"HumanObservation"}),
        ("lifeStage", {"adult", "juvenile"}),
        ("kingdom", {"Animalia"}),
        (
            "identificationVerificationStatus",
            {"plausibility checked", "verified by specialist"},
        ),
        ("recordedBy", {"Example Soil Survey Consortium volunteers"}),
        ("identifiedBy", {"Example Soil Survey Consortium volunteers"}),
    ],
)
def test_column_has_exactly_the_agreed_words(
    archive: Archive, column: str, words: set[str]
) -> None:
    assert {row[column] for row in archive["occurrence"]} == words


def test_event_of_an_occurrence_is_an_extraction_step(archive: Archive) -> None:
    steps = {event["eventID"] for event in archive.events("extractionPhase")}

    for row in archive["occurrence"]:
        assert row["eventID"] == row["id"]
        assert row["eventID"] in steps


def test_names_are_scientific_names_with_their_rank(archive: Archive) -> None:
    ranks = {(row["scientificName"], row["taxonRank"]) for row in archive["occurrence"]}

    assert ranks == {("Lumbricidae", "family"), (RUBELLUS, "species"), (TERRESTRIS, "species")}


def test_names_stand_below_their_parents(archive: Archive) -> None:
    for row in archive["occurrence"]:
        lineage = (row["phylum"], row["class"], row["family"])
        assert lineage == ("Annelida", "Clitellata", "Lumbricidae")
        expected = "Lumbricus" if row["taxonRank"] == "species" else ""
        assert row["genus"] == expected


def test_name_left_open_stays_as_recorded_beside_the_coarse_taxon(archive: Archive) -> None:
    rows = [row for row in archive["occurrence"] if "cf." in row["verbatimIdentification"]]

    assert [row["scientificName"] for row in rows] == ["Lumbricidae"]


def test_ecological_group_never_stands_in_a_column_of_taxa(archive: Archive) -> None:
    columns = ["scientificName", "taxonRank", "class", "family", "genus", "vernacularName"]

    words = {row[column] for row in archive["occurrence"] for column in columns}

    assert not [word for word in words if re.search("epigeic|endogeic|anecic|unassigned", word)]


def test_ecological_group_is_the_same_in_properties_and_measurement(archive: Archive) -> None:
    measured = {
        row["occurrenceID"]: row["measurementValue"]
        for row in archive["measurement"]
        if row["measurementType"] == "ecological group"
    }

    told = {
        row["occurrenceID"]: json.loads(row["dynamicProperties"])["ecologicalGroup"]
        for row in archive["occurrence"]
        if row["dynamicProperties"]
    }

    assert told == measured
    assert Counter(told.values()).keys() == {"epigeic", "endogeic", "anecic"}


@needs_shared
def test_authorships_agree_with_the_reference_list(archive: Archive) -> None:
    with (SHARED / "reference" / "taxa.csv").open(encoding="utf-8", newline="") as lines:
        full_names = {
            f"{row['scientific_name']} {row['authorship']}" for row in csv.DictReader(lines)
        }

    species = {
        row["scientificName"] for row in archive["occurrence"] if row["taxonRank"] == "species"
    }

    assert species
    assert species <= full_names
