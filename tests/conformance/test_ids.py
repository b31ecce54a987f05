"""Checks 6 to 8, identifiers: unique in the whole archive in any case, and never dangling."""

import re

import pytest

from tests.conformance.reading import Archive

RANDOM_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


@pytest.mark.parametrize(
    ("kind", "column"),
    [("event", "eventID"), ("occurrence", "occurrenceID"), ("measurement", "measurementID")],
)
def test_ids_are_unique_in_any_case(archive: Archive, kind: str, column: str) -> None:
    ids = [row[column].casefold() for row in archive[kind]]

    assert len(ids) == len(set(ids)) > 0
    assert all(found and " " not in found for found in ids)


def test_ids_of_all_kinds_are_random_uuids_under_one_address(archive: Archive) -> None:
    ids = [row["eventID"] for row in archive["event"]]
    ids += [row["occurrenceID"] for row in archive["occurrence"]]

    for found in ids:
        base, _, uuid = found.rpartition("/")
        assert base.rpartition("/")[0] == "https://data.example.org/id"
        assert RANDOM_UUID.fullmatch(uuid)  # RFC 9562, version 4: tells neither time nor order


def test_parents_stand_before_their_children(archive: Archive) -> None:
    seen: set[str] = set()

    for event in archive["event"]:
        if event["eventType"] == "siteVisit":
            assert event["parentEventID"] == ""
        else:
            assert event["parentEventID"] in seen
        seen.add(event["eventID"])


def test_levels_are_visit_then_pit_then_step(archive: Archive) -> None:
    types = {event["eventID"]: event["eventType"] for event in archive["event"]}

    pairs = {
        (types.get(event["parentEventID"], ""), event["eventType"]) for event in archive["event"]
    }

    assert pairs == {
        ("", "siteVisit"),
        ("siteVisit", "soilPit"),
        ("soilPit", "extractionPhase"),
    }


def test_every_visit_has_a_pit(archive: Archive) -> None:
    parents = {event["parentEventID"] for event in archive.events("soilPit")}

    assert parents == {event["eventID"] for event in archive.events("siteVisit")}


@pytest.mark.parametrize("kind", ["occurrence", "humboldt", "measurement"])
def test_extension_rows_belong_to_an_event(archive: Archive, kind: str) -> None:
    events = {event["eventID"] for event in archive["event"]}

    assert {row["id"] for row in archive[kind]} <= events


def test_measurements_of_occurrences_stay_under_their_event(archive: Archive) -> None:
    events = {row["occurrenceID"]: row["id"] for row in archive["occurrence"]}

    for row in archive["measurement"]:
        if row["occurrenceID"]:
            assert events[row["occurrenceID"]] == row["id"]


def test_rows_are_in_the_order_of_their_public_ids(archive: Archive) -> None:
    visits = [event["eventID"] for event in archive.events("siteVisit")]

    assert visits == sorted(visits)
