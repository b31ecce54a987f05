"""Protocols as a release stores them."""

import pytest

from portal.archive.protocols import read_protocols
from tests.factories.published import protocol_dicts


def test_protocols_are_found_by_key_and_version() -> None:
    protocols = read_protocols(protocol_dicts())

    assert protocols["contrast-pit/2"].full_title == "Contrast pit, 20 cm, version 2"
    assert protocols["contrast-pit/2"].coarse_taxon == "Lumbricidae"
    assert protocols["contrast-pit/2"].coarse_rank == "family"


def test_protocol_by_groups_counts_every_animal() -> None:
    protocol = read_protocols(protocol_dicts())["contrast-pit/1"]

    assert protocol.taxa == ["Lumbricidae"]
    assert protocol.stages == ["adult", "juvenile"]
    assert protocol.counts_every_animal


def test_protocol_by_species_has_no_line_for_adults_of_other_species() -> None:
    protocol = read_protocols(protocol_dicts())["species-pit/1"]

    assert protocol.taxa[0] == "Lumbricidae"
    assert "Lumbricus terrestris" in protocol.taxa
    assert not protocol.counts_every_animal


@pytest.mark.parametrize(
    ("kind", "method"),
    [("hand_sort", "hand sorting of the dug soil and roots"), ("vacuum", "vacuum")],
)
def test_method_is_that_of_the_step_or_its_kind(kind: str, method: str) -> None:
    protocol = read_protocols(protocol_dicts())["school-pit/1"]

    assert protocol.method(kind) == method


def test_step_left_out_on_purpose_is_known() -> None:
    steps = read_protocols(protocol_dicts())["school-pit/1"].steps

    assert [(step.kind, step.performed) for step in steps] == [
        ("hand_sort", True),
        ("expellant", False),
    ]
