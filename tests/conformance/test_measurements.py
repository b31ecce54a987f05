"""Checks 8, 9 and 11, measurements: one value a row, defined by an address, with its unit."""

import re
from decimal import Decimal

import pytest

from tests.conformance.reading import Archive

SOIL = {"soil moisture class", "acid reaction class", "soil texture class", "soil colour"}


def test_every_row_has_a_type_a_definition_and_one_value(archive: Archive) -> None:
    for row in archive["measurement"]:
        assert row["measurementType"]
        assert row["measurementTypeID"].startswith("https://data.example.org/api/v1/fields/")
        assert row["measurementValue"]
        assert "|" not in row["measurementValue"]


def test_a_type_has_one_definition(archive: Archive) -> None:
    pairs = {(row["measurementType"], row["measurementTypeID"]) for row in archive["measurement"]}

    kinds = {kind.partition(":")[0] for kind, _ in pairs}

    assert len(pairs) == len({kind for kind, _ in pairs})
    assert kinds == SOIL | {"land management", "ecological group", "density", "number of animals"}


def test_soil_facts_are_about_pits(archive: Archive) -> None:
    pits = {event["eventID"] for event in archive.events("soilPit")}

    rows = [row for row in archive["measurement"] if row["id"] in pits]

    assert {row["measurementType"] for row in rows} == SOIL | {"land management"}
    assert {row["occurrenceID"] for row in rows} == {""}


def test_other_measurements_are_about_occurrences_but_for_zeros(archive: Archive) -> None:
    steps = {event["eventID"] for event in archive.events("extractionPhase")}

    rows = [row for row in archive["measurement"] if row["id"] in steps]

    kinds = {(row["measurementType"].partition(":")[0], bool(row["occurrenceID"])) for row in rows}
    assert kinds == {
        ("ecological group", True),
        ("density", True),
        ("number of animals", False),
    }


def test_soil_fact_that_was_not_noted_has_no_row(archive: Archive) -> None:
    kinds = [row["measurementType"] for row in archive["measurement"]]
    pits = len(archive.events("soilPit"))

    # The two pits of the school: moisture not looked for, texture not entered.
    assert kinds.count("soil colour") == pits
    assert kinds.count("soil moisture class") == pits - 2
    assert kinds.count("soil texture class") == pits - 2


def test_density_is_the_count_over_the_area_of_its_event(archive: Archive) -> None:
    areas = {
        event["eventID"]: Decimal(event["sampleSizeValue"])
        for event in archive.events("extractionPhase")
    }
    densities = {
        row["occurrenceID"]: row
        for row in archive["measurement"]
        if row["measurementType"] == "density"
    }

    assert set(densities) == {row["occurrenceID"] for row in archive["occurrence"]}
    for row in archive["occurrence"]:
        density = densities[row["occurrenceID"]]
        expected = int(row["individualCount"]) / areas[row["id"]]
        assert Decimal(density["measurementValue"]) == pytest.approx(expected, abs=Decimal("0.005"))
        assert density["measurementUnit"] == "individuals/m²"


def test_unit_stands_with_each_number_and_with_nothing_else(archive: Archive) -> None:
    units = {
        (row["measurementType"].partition(":")[0], row["measurementUnit"])
        for row in archive["measurement"]
    }

    assert {(kind, unit) for kind, unit in units if unit} == {
        ("density", "individuals/m²"),
        ("number of animals", "individuals"),
    }
    for row in archive["measurement"]:
        assert bool(row["measurementUnit"]) is bool(
            re.fullmatch(r"\d+(\.\d+)?", row["measurementValue"])
        )
