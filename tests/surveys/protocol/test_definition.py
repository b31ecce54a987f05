"""The shape of a protocol file, and the files of the library."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from surveys.intake.payload import PitIn
from surveys.protocol.definition import (
    LIBRARY,
    CheckParameters,
    Protocol,
    library,
    read_protocol,
)
from surveys.protocol.vocabulary import SoilProperty
from tests.reference_tables import document

PROTOCOLS = library()
NAMES = [protocol.name for protocol in PROTOCOLS]
SMALL: dict[str, Any] = {
    "key": "small-pit",
    "version": "1",
    "title": "Small pit",
    "summary": "One pit.",
    "valid_from": "2025-03-01",
    "coarse_taxon": {"name": "Lumbricidae", "rank": "family"},
    "pit": {"width_cm": 20, "length_cm": 25, "depth_cm": 30, "pits_per_visit": 1},
    "phases": [{"kind": "hand_sort", "method": "hand sorting"}],
    "categories": [{"group": "epigeic", "stage": "adult"}],
    "cautions": [{"topic": "digging", "text": "Wear gloves.", "defer_to": "rules of the group"}],
}
# Topics that every kit which digs holes with volunteers must warn of: general field-safety
# practice, common practice, no source.
TOPICS = {
    "buried services",
    "permission",
    "protected ground",
    "contaminated land",
    "children",
    "digging",
    "hygiene",
    "kindness to worms",
    "biosecurity",
    "restoring the ground",
}


@dataclass(frozen=True)
class Kit:
    """What the summary of a kit says in words: side and depth [cm], drench [ml, min], since."""

    side_cm: int
    depth_cm: int
    drench: tuple[str, int | None, int | None] | None
    valid_from: date


MUSTARD = ("mustard water", 500, 5)
KITS = {
    "contrast-pit/1": Kit(20, 20, MUSTARD, date(2024, 9, 1)),
    "contrast-pit/2": Kit(20, 20, MUSTARD, date(2025, 3, 1)),
    "school-pit/1": Kit(20, 20, None, date(2024, 9, 1)),
    "species-pit/1": Kit(25, 30, ("allyl isothiocyanate solution", 1000, 10), date(2025, 3, 1)),
}

each_protocol = pytest.mark.parametrize("protocol", PROTOCOLS, ids=NAMES)


def test_library_holds_every_file_in_order() -> None:
    assert list(KITS) == NAMES
    assert len(list(LIBRARY.iterdir())) == len(NAMES)


@each_protocol
def test_file_is_named_after_key_and_version(protocol: Protocol) -> None:
    path = LIBRARY / f"{protocol.key}-{protocol.version}.toml"

    assert read_protocol(path) == protocol


@each_protocol
def test_kit_is_dug_and_poured_as_its_summary_says(protocol: Protocol) -> None:
    drench = protocol.phase("expellant")
    assert drench is not None
    poured = (drench.agent, drench.volume_ml, drench.wait_min) if drench.performed else None

    assert protocol.pit.width_cm == protocol.pit.length_cm
    found = Kit(int(protocol.pit.width_cm), int(protocol.pit.depth_cm), poured, protocol.valid_from)
    assert found == KITS[protocol.name]


@each_protocol
def test_pit_area_is_that_of_the_worked_examples(protocol: Protocol) -> None:
    # reference kit, density_checks.json: area_m2 = width_cm * length_cm / 10000
    examples = document("density_checks.json")["single"]
    areas = {(row["pit_width_cm"], row["pit_length_cm"]): row["area_m2"] for row in examples}
    pit = protocol.pit

    area_m2 = pit.width_cm * pit.length_cm / 10_000

    assert float(area_m2) == areas[int(pit.width_cm), int(pit.length_cm)]


@each_protocol
def test_every_caution_defers_to_local_rules(protocol: Protocol) -> None:
    topics = [caution.topic for caution in protocol.cautions]

    assert set(topics) >= TOPICS
    assert len(topics) == len(set(topics))
    assert all(caution.text.strip() and caution.defer_to.strip() for caution in protocol.cautions)


@each_protocol
def test_what_is_poured_has_a_caution_of_its_own(protocol: Protocol) -> None:
    drench = protocol.phase("expellant")
    assert drench is not None
    warned = {caution.topic for caution in protocol.cautions} - TOPICS

    agents = {"": set(), "mustard water": {"mustard", "mustard allergy"}}
    assert warned == agents.get(drench.agent, {"allyl isothiocyanate"})


@each_protocol
def test_eggs_are_excluded_and_never_a_line(protocol: Protocol) -> None:
    assert {"egg"} == set(protocol.stages_excluded)
    assert {line.stage.value for line in protocol.categories}.isdisjoint({"egg"})
    assert len(protocol.category_keys()) == len(protocol.categories)


@each_protocol
def test_names_in_a_protocol_are_names_of_the_payload(protocol: Protocol) -> None:
    assert set(protocol.soil) == set(SoilProperty.values)
    assert set(protocol.required_on_pit) <= set(PitIn.model_fields)


def test_comparable_versions_name_each_other() -> None:
    pairs = {(one.name, other) for one in PROTOCOLS for other in one.comparable_with}

    assert pairs == {("contrast-pit/1", "contrast-pit/2"), ("contrast-pit/2", "contrast-pit/1")}


def test_species_of_the_kit_stand_in_the_group_that_the_reference_gives() -> None:
    # reference kit, taxa.csv; groups after Bouche 1972 and 1977
    groups = {
        "Lumbricus rubellus": "epigeic",
        "Lumbricus castaneus": "epigeic",
        "Aporrectodea caliginosa": "endogeic",
        "Aporrectodea rosea": "endogeic",
        "Allolobophora chlorotica": "endogeic",
        "Lumbricus terrestris": "anecic",
        "Aporrectodea longa": "anecic",
    }
    (kit,) = [protocol for protocol in PROTOCOLS if protocol.key == "species-pit"]

    named = {line.taxon: line.group.value for line in kit.categories if line.taxon}

    assert named == groups


def test_usual_limits_are_those_of_the_plausibility_table() -> None:
    # reference kit, plausibility.csv; all of them project judgement
    limits = CheckParameters()

    assert (limits.query_above_per_m2, limits.refuse_above_per_m2) == (1000, 3000)
    assert (limits.depth_query_cm, limits.depth_refuse_cm) == ((15, 35), (5, 60))
    assert limits.sorting_query_min == (5, 90)
    assert (limits.accuracy_query_m, limits.late_after_days) == (100, 60)
    assert limits.season_months == (3, 4, 5, 9, 10, 11)


@pytest.mark.parametrize(
    ("part", "wrong"),
    [
        ("key", "Small Pit"),
        ("key", "small_pit"),
        ("key", ""),
        ("version", "1a"),
        ("version", ""),
        ("version", "12345"),
        ("valid_from", "soon"),
        ("colour", "red"),
        ("pit", SMALL["pit"] | {"width_cm": 0}),
        ("pit", SMALL["pit"] | {"depth_cm": 201}),
        ("pit", SMALL["pit"] | {"pits_per_visit": 0}),
        ("pit", SMALL["pit"] | {"side_cm": 20}),
        ("phases", []),
        ("phases", [{"kind": "electric_shock", "method": "shock"}]),
        ("categories", []),
        ("categories", [{"group": "swimming", "stage": "adult"}]),
        ("categories", [{"group": "epigeic", "stage": "pupa"}]),
        ("cautions", []),
        ("cautions", [{"topic": "digging", "text": "Wear gloves."}]),
    ],
)
def test_file_that_breaks_the_shape_is_refused_by_the_field(part: str, wrong: Any) -> None:
    with pytest.raises(ValidationError) as refusal:
        Protocol.model_validate(SMALL | {part: wrong})

    assert {error["loc"][0] for error in refusal.value.errors()} == {part}


def test_protocol_once_read_is_never_changed() -> None:
    protocol = Protocol.model_validate(SMALL)

    with pytest.raises(ValidationError, match="frozen"):
        protocol.title = "Large pit"  # type: ignore[misc]


def test_protocol_answers_about_its_steps_and_lines() -> None:
    protocol = Protocol.model_validate(SMALL)

    assert protocol.name == "small-pit/1"
    assert protocol.phase("hand_sort") == protocol.phases[0]
    assert protocol.phase("expellant") is None
    assert protocol.category_keys() == {("epigeic", "adult", "")}


def test_new_kit_is_a_new_file_and_nothing_else(tmp_path: Path) -> None:
    written = (LIBRARY / "school-pit-1.toml").read_text(encoding="utf-8")
    path = tmp_path / "garden-pit-1.toml"
    path.write_text(written.replace('key = "school-pit"', 'key = "garden-pit"'), encoding="utf-8")

    assert read_protocol(path).name == "garden-pit/1"
