"""What a pit holds and what is written down."""

from dataclasses import replace

import pytest

from portal.demo.counts import LABELS, SPECIES, draw_pit
from portal.demo.visits import Outing, outings
from surveys.protocol.definition import library


@pytest.fixture(scope="module")
def drawn() -> dict[str, Outing]:
    return {outing.ref: outing for outing in outings(318)}


def test_labels_of_a_group_are_shares_of_one() -> None:
    assert all(sum(shares) == pytest.approx(1.0) for shares in LABELS.values())


def test_species_are_the_lines_of_the_species_kit() -> None:
    kit = next(protocol for protocol in library() if protocol.name == "species-pit/1")
    lines = {(c.group, c.taxon) for c in kit.categories if c.stage == "adult"}

    assert {(group, name) for group, names in SPECIES.items() for name in names} == lines


def test_pit_is_drawn_alike_whatever_was_drawn_before(drawn: dict[str, Outing]) -> None:
    outing = drawn["QVD-A01"]

    before = draw_pit(outing, outing.grounds[0])
    draw_pit(drawn["VFR-S01"], drawn["VFR-S01"].grounds[0])

    assert draw_pit(outing, outing.grounds[0]) == before


def test_only_deep_adults_come_up_with_the_drench(drawn: dict[str, Outing]) -> None:
    pits = [draw_pit(o, ground) for o in drawn.values() for ground in o.grounds if o.poured]

    juveniles = [pit.written["expellant"]["unassigned", "juvenile", ""] for pit in pits]
    assert set(juveniles) == {0}
    assert sum(sum(pit.written["expellant"].values()) for pit in pits) > 0


def test_without_a_drench_there_is_no_such_step(drawn: dict[str, Outing]) -> None:
    outing = replace(drawn["QVD-A01"], poured=False)

    assert list(draw_pit(outing, "lawn").written) == ["hand_sort"]


def test_moist_ground_of_the_same_visit_holds_more_than_dry(drawn: dict[str, Outing]) -> None:
    found = {
        moisture: sum(
            draw_pit(replace(outing, moisture=moisture), ground).found
            for outing in drawn.values()
            for ground in outing.grounds
        )
        for moisture in ("dry", "moist")
    }

    # the model halves the mean and more (0.40), and a fifth of the pits change their class
    assert 0.4 < found["dry"] / found["moist"] < 0.75
