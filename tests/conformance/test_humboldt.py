"""Check 20, survey scope (Humboldt Extension, TDWG 2024-02-28): on every event, and honest."""

import pytest

from tests.conformance.reading import Archive, Table

BOOLEANS = [
    "isTaxonomicScopeFullyReported", "isLifeStageScopeFullyReported", "isAbsenceReported",
    "hasNonTargetTaxa", "isAbundanceReported", "isAbundanceCapReported",
    "isLeastSpecificTargetCategoryQuantityInclusive", "hasVouchers", "hasMaterialSamples",
    "isSamplingEffortReported",
]  # fmt: skip
RESULTS = [
    "absentTaxa", "hasNonTargetTaxa", "isAbundanceReported", "isAbundanceCapReported",
    "isLeastSpecificTargetCategoryQuantityInclusive", "hasVouchers", "hasMaterialSamples",
    "totalAreaSampledValue", "totalAreaSampledUnit",
]  # fmt: skip


def rows_of(archive: Archive, event_type: str) -> Table:
    wanted = {event["eventID"] for event in archive.events(event_type)}
    return [row for row in archive["humboldt"] if row["id"] in wanted]


def occurrences_within(archive: Archive, event_id: str) -> Table:
    parents = {event["eventID"]: event["parentEventID"] for event in archive["event"]}
    found = []
    for row in archive["occurrence"]:
        above = [row["id"]]
        while parents[above[-1]]:
            above.append(parents[above[-1]])
        if event_id in above:
            found.append(row)
    return found


def test_each_event_has_one_row(archive: Archive) -> None:
    assert [row["id"] for row in archive["humboldt"]] == [
        event["eventID"] for event in archive["event"]
    ]


def test_booleans_are_written_as_the_standard_lists_them(archive: Archive) -> None:
    # Controlled values of TDWG's boolean vocabulary; empty where a level does not tell.
    words = {row[column] for row in archive["humboldt"] for column in BOOLEANS}

    assert words == {"true", "false", ""}


@pytest.mark.parametrize(
    ("column", "word"),
    [
        ("taxonCompletenessReported", "notReported"),  # closed list of three, TDWG
        ("compilationTypes", "samplingEvents"),
        ("inventoryTypes", "restrictedSearch"),
        ("siteCount", "1"),
        ("excludedLifeStageScope", "egg"),
        ("targetLifeStageScope", "adult | juvenile"),
        ("samplingPerformedBy", "Example Soil Survey Consortium volunteers"),
    ],
)
def test_column_has_one_word_on_every_level(archive: Archive, column: str, word: str) -> None:
    assert {row[column] for row in archive["humboldt"]} == {word}


def test_scope_of_taxa_is_repeated_on_pits_and_steps(archive: Archive) -> None:
    scopes = {row["id"]: row["targetTaxonomicScope"] for row in archive["humboldt"]}

    for event in archive["event"]:
        if event["parentEventID"]:
            assert scopes[event["eventID"]] == scopes[event["parentEventID"]]


def test_scope_of_habitats_is_all_on_a_visit_and_its_own_on_a_pit(archive: Archive) -> None:
    scopes = {row["id"]: row["targetHabitatScope"] for row in archive["humboldt"]}

    for pit in archive.events("soilPit"):
        assert scopes[pit["eventID"]] == pit["habitat"]
        assert pit["habitat"] in scopes[pit["parentEventID"]].split(" | ")


def test_results_are_never_summed_up_to_a_visit(archive: Archive) -> None:
    told = {row[column] for row in rows_of(archive, "siteVisit") for column in RESULTS}

    assert told == {""}


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("totalAreaSampledValue", "totalAreaSampledUnit"),
        ("samplingEffortValue", "samplingEffortUnit"),
    ],
)
def test_value_and_unit_come_together(archive: Archive, value: str, unit: str) -> None:
    filled = {(bool(row[value]), bool(row[unit])) for row in archive["humboldt"]}

    assert filled == {(True, True), (False, False)}


def test_area_is_that_of_the_event(archive: Archive) -> None:
    sizes = {event["eventID"]: event["sampleSizeValue"] for event in archive["event"]}

    assert {row["id"]: row["totalAreaSampledValue"] for row in archive["humboldt"]} == sizes
    assert {row["totalAreaSampledUnit"] for row in archive["humboldt"]} == {"m²", ""}


def test_effort_is_reported_exactly_where_a_value_is_given(archive: Archive) -> None:
    for row in archive["humboldt"]:
        assert row["isSamplingEffortReported"] == (
            "true" if row["samplingEffortValue"] else "false"
        )


@pytest.mark.parametrize("event_type", ["soilPit", "extractionPhase"])
def test_absent_taxa_are_those_with_zeros_alone(archive: Archive, event_type: str) -> None:
    empty = 0
    for row in rows_of(archive, event_type):
        within = occurrences_within(archive, row["id"])
        statuses = {found["occurrenceStatus"] for found in within}
        coarse_absent = "Lumbricidae" in row["absentTaxa"].split(" | ")
        blank = row["isTaxonomicScopeFullyReported"] == "false"
        assert coarse_absent == (statuses == {"absent"} and not blank)
        empty += coarse_absent
    assert empty


def test_species_is_not_called_absent_beside_an_animal_left_coarse(archive: Archive) -> None:
    farm = [
        row for row in rows_of(archive, "soilPit") if "terrestris" in row["targetTaxonomicScope"]
    ]

    # L. terrestris was counted as zero, but one adult of the pit got no species name.
    assert [row["absentTaxa"] for row in farm] == [""]


def test_blank_line_makes_the_event_and_those_above_not_fully_reported(archive: Archive) -> None:
    reported = {row["id"]: row["isTaxonomicScopeFullyReported"] for row in archive["humboldt"]}

    for event in archive["event"]:
        if event["parentEventID"] and reported[event["eventID"]] == "false":
            assert reported[event["parentEventID"]] == "false"
    assert sorted(reported[event["eventID"]] for event in archive.events("siteVisit")) == [
        "false",  # the farm: its form has no line for adults of other species
        "false",  # the school: one line left blank
        "false",  # the place that is not shown: one line not looked for
        "true",
    ]


def test_step_that_was_left_out_is_no_event(archive: Archive) -> None:
    methods = {
        row["id"]: row["protocolNames"]
        for row in rows_of(archive, "soilPit") + rows_of(archive, "extractionPhase")
    }
    steps: dict[str, set[str]] = {pit["eventID"]: set() for pit in archive.events("soilPit")}
    for event in archive.events("extractionPhase"):
        steps[event["parentEventID"]].add(methods[event["eventID"]])

    school_pits = [
        pit["eventID"] for pit in archive.events("soilPit") if pit["eventDate"] == "2025-03"
    ]

    assert len(school_pits) == 2
    assert all(steps[pit] == {"handSorting"} for pit in school_pits)
    assert all(methods[pit] == "handSorting" for pit in school_pits)
