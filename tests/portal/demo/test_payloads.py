"""Payloads as a group would send them."""

import json

import pytest

from portal.demo.faults import PLANTED
from portal.demo.payloads import Payload, found_in, payload_of
from portal.demo.visits import outings
from surveys.intake.reading import read_visit
from surveys.protocol.definition import library


@pytest.fixture(scope="module")
def payloads() -> dict[str, Payload]:
    return {outing.ref: payload_of(outing) for outing in outings(318)}


def test_every_drawn_visit_has_the_shape_of_the_intake(payloads: dict[str, Payload]) -> None:
    faults = {ref: read_visit(_sent(payload), "")[1] for ref, payload in payloads.items()}

    assert {ref: found for ref, found in faults.items() if found} == {}


def test_every_mended_visit_has_the_shape_of_the_intake(payloads: dict[str, Payload]) -> None:
    mended = {ref: planted.mended(payloads[ref]) for ref, planted in PLANTED.items()}

    assert {ref: found for ref, p in mended.items() if (found := read_visit(_sent(p), "")[1])} == {}


def test_every_line_of_the_kit_is_filled_in_each_step_done(payloads: dict[str, Payload]) -> None:
    kits = {protocol.name: protocol.category_keys() for protocol in library()}

    for payload in payloads.values():
        for phase in (phase for pit in payload["pits"] for phase in pit["phases"]):
            lines = {(c["group"], c["stage"], c.get("taxon", "")) for c in phase["counts"]}
            assert lines == (kits[payload["protocol"]] if phase["done"] else set())


def test_totals_add_up_and_zeros_are_confirmed(payloads: dict[str, Payload]) -> None:
    pits = [pit for payload in payloads.values() for pit in payload["pits"]]

    assert all(pit["total"] == found_in(pit) for pit in pits)
    assert all(pit["sorted_to_end"] is True for pit in pits if pit["total"] == 0)


def test_school_sends_hand_sorting_only(payloads: dict[str, Payload]) -> None:
    kinds = {
        phase["kind"]
        for payload in payloads.values()
        if payload["protocol"] == "school-pit/1"
        for pit in payload["pits"]
        for phase in pit["phases"]
    }

    assert kinds == {"hand_sort"}


def _sent(payload: Payload) -> Payload:
    sent: Payload = json.loads(json.dumps(payload))
    return sent
