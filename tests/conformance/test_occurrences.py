"""Checks 9 to 11, 17 and 21, occurrences: words of closed lists, zeros, quantities, names."""

import csv
import json
import re
from collections import Counter

import pytest

from portal.records.models import PublishedCount
from tests.conformance.conftest import Written
from tests.conformance.reading import Archive, Table
from tests.conformance.standards import SHARED, needs_shared

# Checklist compiled from Sims & Gerard 1999 and Sherlock 2012.
RUBELLUS = "Lumbricus rubellus Hoffmeister, 1843"
TERRESTRIS = "Lumbricus terrestris Linnaeus, 1758"


def address(count: PublishedCount) -> str:
    return f"https://data.example.org/id/occurrence/{count.id}"


def test_every_counted_line_is_an_occurrence_or_a_zero_of_its_event(
    archive: Archive, written: Written
) -> None:
    counted = {address(count) for count in written.small.counts if count.state == "counted"}

    occurrences = [row["occurrenceID"] for row in archive["occurrence"]]
    zeros = [zero["measurementID"].removesuffix("#number") for zero in zeros_of(archive)]

    assert sorted(occurrences + zeros) == sorted(counted)
    assert len(zeros) > 1
    assert len(counted) < len(written.small.counts)


def test_every_line_with_animals_is_an_occurrence(archive: Archive, written: Written) -> None:
    found = {address(count) for count in written.small.counts if count.number}

    present = [row for row in archive["occurrence"] if row["occurrenceStatus"] == "present"]

    assert {row["occurrenceID"] for row in present} == found


def test_no_taxon_is_absent_from_an_event_in_which_it_or_a_part_of_it_was_found(
    archive: Archive,
) -> None:
    found: dict[str, set[str]] = {}
    for row in archive["occurrence"]:
        if row["occurrenceStatus"] == "present":
            above = {row[column] for column in ("phylum", "class", "family", "genus")}
            found.setdefault(row["eventID"], set()).update(above | {row["scientificName"]})

    absences = [row for row in archive["occurrence"] if row["occurrenceStatus"] == "absent"]

    assert {row["scientificName"] for row in absences} == {"Lumbricidae", TERRESTRIS}
    for row in absences:
        assert row["scientificName"] not in found.get(row["eventID"], set())


def test_absences_are_the_absent_taxa_of_their_event(archive: Archive) -> None:
    told = {row["id"]: row for row in archive["humboldt"]}
    names: dict[str, set[str]] = {}
    for row in archive["occurrence"]:
        if row["occurrenceStatus"] == "absent":
            name = "Lumbricus terrestris" if row["taxonRank"] == "species" else "Lumbricidae"
            names.setdefault(row["eventID"], set()).add(name)

    for event in archive.events("extractionPhase"):
        scope = told[event["eventID"]]
        listed = set(filter(None, scope["absentTaxa"].split(" | ")))
        assert listed == names.get(event["eventID"], set())
        assert not listed or scope["isAbsenceReported"] == "true"
    assert names


def test_zero_beside_animals_says_that_it_is_no_absence(archive: Archive) -> None:
    absent = {
        (row["id"], row["scientificName"])
        for row in archive["occurrence"]
        if row["occurrenceStatus"] == "absent"
    }

    for zero in zeros_of(archive):
        said = re.fullmatch(
            r"Zero of one line, not an absence of (.+) from this event\.",
            zero["measurementRemarks"],
        )
        assert said
        assert (zero["id"], said[1]) not in absent
        assert (zero["measurementValue"], zero["measurementUnit"]) == ("0", "individuals")
        assert zero["occurrenceID"] == ""


def test_zero_beside_animals_names_its_line_by_group_or_taxon_and_stage(archive: Archive) -> None:
    assert {zero["measurementType"] for zero in zeros_of(archive)} == {
        "number of animals: epigeic earthworm, adult",
        "number of animals: endogeic earthworm, adult",
        "number of animals: anecic earthworm, adult",
        "number of animals: Lumbricus terrestris, adult",
        "number of animals: juvenile",
    }


def zeros_of(archive: Archive) -> Table:
    return [
        row
        for row in archive["measurement"]
        if row["measurementType"].startswith("number of animals")
    ]


def test_zero_is_absent_and_nothing_else_is(archive: Archive, written: Written) -> None:
    numbers = {str(count.id): count.number for count in written.small.counts}

    for row in archive["occurrence"]:
        number = numbers[row["occurrenceID"].rpartition("/")[2]]
        assert row["individualCount"] == str(number)
        assert row["occurrenceStatus"] == ("absent" if number == 0 else "present")


def test_absence_is_a_zero_in_count_and_quantity_and_nothing_else_is(form: Archive) -> None:
    found = {
        (row["occurrenceStatus"], row["individualCount"] == "0", row["organismQuantity"] == "0")
        for row in form["occurrence"]
    }

    assert found in (
        {("present", False, False), ("absent", True, True)},
        {("detected", False, False), ("notDetected", True, True)},
    )


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
        ("recordedByID", {""}),
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


def test_no_name_is_left_open_or_is_a_group(form: Archive) -> None:
    # Signs of open nomenclature and words of the trade that are no names (our mapping, 1.2).
    signs = r"\b(sp|spp|ssp|indet|cf|aff|agg|group|earthworms?|epigeic|endogeic|anecic)\b|[?]"

    for row in form["occurrence"]:
        assert row["scientificName"]
        assert not re.search(signs, row["scientificName"])
        words = len(re.findall(r"[A-Za-z-]+", row["scientificName"].partition(" (")[0]))
        assert (row["taxonRank"] == "family") is (words == 1)


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
