"""Check 22: the archive of occurrences alone tells the same as the archive of events."""

import json

import pytest

from tests.conformance.reading import Archive, Table
from tests.conformance.standards import Judge, needs_shared, second_opinion, violations

EML = "eml-2.2.0/eml.xsd"
# What a row of this form says of itself, and the other form of its event (our mapping, 2).
OWN_WORDS = {"modified", "references"}
SOIL = {
    "soil moisture class": "soilMoistureClass",
    "acid reaction class": "acidReactionClass",
    "soil texture class": "soilTextureClass",
    "soil colour": "soilColour",
}


def joined(archive: Archive) -> dict[str, dict[str, str]]:
    """Join the archive of events by core id: each occurrence with the columns of its event."""
    events = {event["id"]: event for event in archive["event"]}
    return {row["occurrenceID"]: events[row["id"]] | row for row in archive["occurrence"]}


def properties(row: dict[str, str]) -> dict[str, str | list[str]]:
    found: dict[str, str | list[str]] = json.loads(row["dynamicProperties"] or "{}")
    return found


def soil_by_pit(archive: Archive) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {pit["id"]: {} for pit in archive.events("soilPit")}
    for row in archive["measurement"]:
        if row["measurementType"] in SOIL:
            found[row["id"]][SOIL[row["measurementType"]]] = row["measurementValue"]
    return found


def test_both_forms_have_the_same_occurrences(archive: Archive, flat: Archive) -> None:
    ids = [row["occurrenceID"] for row in flat["occurrence"]]

    assert len(ids) == len(set(ids))
    assert set(ids) == set(joined(archive))


@pytest.mark.parametrize("older", [True, False])
def test_both_forms_have_the_same_values(
    archive: Archive, flat: Archive, newer: Archive, flat_newer: Archive, *, older: bool
) -> None:
    of_events, alone = (archive, flat) if older else (newer, flat_newer)
    expected = joined(of_events)
    columns = set(alone["occurrence"][0]) - OWN_WORDS - {"id", "dynamicProperties"}

    for row in alone["occurrence"]:
        other = expected[row["occurrenceID"]]
        assert {name: row[name] for name in columns} == {name: other[name] for name in columns}
    assert set(of_events["event"][0]) | set(of_events["occurrence"][0]) == set(
        alone["occurrence"][0]
    )


def test_row_is_named_by_its_occurrence_and_leads_to_it(flat: Archive) -> None:
    for row in flat["occurrence"]:
        assert row["id"] == row["occurrenceID"] == row["references"]


def test_properties_hold_the_group_of_the_occurrence_and_the_soil_of_its_pit(
    archive: Archive, flat: Archive
) -> None:
    occurrences, soil = joined(archive), soil_by_pit(archive)

    for row in flat["occurrence"]:
        told = properties(row)
        group = properties(occurrences[row["occurrenceID"]])
        assert {name: told[name] for name in told if name in SOIL.values()} == soil[
            row["parentEventID"]
        ]
        assert {name: told[name] for name in told if name == "ecologicalGroup"} == group
        assert list(told) == sorted(told)


def test_properties_hold_the_zeros_beside_animals(archive: Archive, flat: Archive) -> None:
    zeros: dict[str, list[str]] = {}
    for row in archive["measurement"]:
        kind, _, line = row["measurementType"].partition(": ")
        if kind == "number of animals":
            zeros.setdefault(row["id"], []).append(line)

    for row in flat["occurrence"]:
        told = properties(row).get("linesWithoutAnimals", [])
        assert told == sorted(zeros.get(row["eventID"], []))
    assert zeros


def test_pits_that_cannot_be_shown_are_numbered_in_the_metadata(
    archive: Archive, flat: Archive
) -> None:
    shown = {row["parentEventID"] for row in flat["occurrence"]}
    unshown = [pit for pit in archive.events("soilPit") if pit["id"] not in shown]

    remarks = " ".join(flat.eml.xpath("dataset/additionalInfo/para/text()"))

    assert f"cannot be shown in this form: {len(unshown)}." in remarks
    assert "give an aggregator one of the two, never both" in remarks


def test_both_forms_say_the_same_in_their_metadata_but_for_remarks(
    archive: Archive, flat: Archive
) -> None:
    def said(form: Archive) -> list[tuple[str, str]]:
        return [
            (element.tag, (element.text or "").strip())
            for element in form.eml.xpath(".//*[not(ancestor-or-self::additionalInfo)]")
        ]

    assert said(flat) == said(archive)


@needs_shared
@pytest.mark.parametrize("judge", [violations, second_opinion])
def test_metadata_of_occurrences_alone_is_valid_by_the_schema(flat: Archive, judge: Judge) -> None:
    assert judge(EML, flat.members["eml.xml"]) == []


def test_absence_keeps_place_and_effort_of_its_own_pit(flat: Archive) -> None:
    absences: Table = [r for r in flat["occurrence"] if r["occurrenceStatus"] == "absent"]

    assert absences
    for row in absences:
        assert row["samplingEffort"]
        assert row["sampleSizeValue"]
        assert row["eventDate"]
