"""Comparing two sets of pits: what is paired, kept apart and left out."""

from typing import Any

import pytest

from portal.statistics.comparison import compare_paired, compare_unpaired
from portal.statistics.contrasts import (
    NO_OTHER_SIDE,
    NO_PAIR,
    SAME_PLACE,
    Contrast,
    Pairing,
    compare_sides,
)
from portal.statistics.findings import Outcome, Unit
from portal.statistics.samples import PitSample
from portal.statistics.sides import ON_BOTH_SIDES, read_side
from portal.statistics.tallies import DRENCHED, SORTED_ONLY, PitTally

LAWN = (9, 12, 6, 20, 3, 14, 8, 11)
BED = (3, 5, 2, 6, 1, 4, 4, 2)


def pit(number: int, habitat: str, visit: str, **columns: Any) -> PitTally:
    kit, steps = columns.pop("kit", "kit A"), columns.pop("steps", DRENCHED)
    traits = {
        "pit_id": f"{visit} {habitat} {number} {len(columns)}",
        "visit_id": visit,
        "site_id": f"site of {visit}",
        "area_m2": 0.04,
        "habitat": habitat,
    } | columns
    return PitTally(traits, kit, steps, number, counted=True)


def pairs(prefix: str = "v", **columns: Any) -> list[PitTally]:
    return [
        pit(number, habitat, f"{prefix}{visit}", **columns)
        for habitat, numbers in (("lawn", LAWN), ("flower bed", BED))
        for visit, number in enumerate(numbers)
    ]


def contrast(pairing: str = "auto", by: str = "habitat", *sides: str) -> Contrast:
    first, second = sides or ("lawn", "flower bed")
    return Contrast(read_side(by, first), read_side(by, second), Pairing(pairing))


def sample(name: str, *counts: int) -> PitSample:
    return PitSample(name, counts, (0.04,) * len(counts))


def test_pairs_are_compared_visit_by_visit() -> None:
    (found,) = compare_sides(reversed(pairs()), contrast()).comparisons

    expected = compare_paired(sample("lawn", *LAWN), sample("flower bed", *BED))
    assert found.finding.unit is Unit.VISITS
    assert found.finding.ratio == pytest.approx(83 / 27)
    assert found.finding.interval == pytest.approx(expected.interval)
    assert (found.n_visits, found.n_sites, found.caution) == (8, 8, "")


def test_several_pits_of_one_side_on_a_visit_are_summed() -> None:
    more = [*pairs(), pit(5, "lawn", "v0")]

    (found,) = compare_sides(more, contrast()).comparisons

    assert found.finding.n == 8
    assert found.finding.first.counts[0] == 9 + 5
    assert found.finding.first.areas_m2[0] == pytest.approx(0.08)


def test_few_pairs_among_many_pits_are_compared_unpaired() -> None:
    alone = [pit(number, "lawn", f"alone {number}") for number in range(9)]

    answer = compare_sides([*pairs(), *alone], contrast())

    (found,) = answer.comparisons  # 8 of 17 lawns are in pairs, less than half
    assert found.finding.unit is Unit.PITS
    assert (found.finding.first.n_pits, found.finding.second.n_pits) == (17, 8)
    assert answer.left_out == {}


def test_the_choice_to_pair_does_not_look_at_what_was_found() -> None:
    one_more = [pit(0, "lawn", f"alone {number}") for number in range(8)]

    (found,) = compare_sides([*pairs(), *one_more], contrast()).comparisons

    assert found.finding.unit is Unit.VISITS  # 8 of 16 are half


def test_pits_without_partner_are_left_out_of_pairs() -> None:
    answer = compare_sides([*pairs(), pit(4, "lawn", "alone")], contrast("paired"))

    assert [one.finding.n for one in answer.comparisons] == [8]
    assert answer.left_out == {NO_PAIR: 1}


def test_pairs_without_any_are_no_comparison() -> None:
    pits = [pit(4, "lawn", "one"), pit(4, "flower bed", "other")]

    answer = compare_sides(pits, contrast("paired"))

    assert answer.comparisons == ()
    assert answer.left_out == {NO_PAIR: 2}


def test_unpaired_uses_every_pit() -> None:
    (found,) = compare_sides(pairs(), contrast("unpaired")).comparisons

    expected = compare_unpaired(sample("lawn", *LAWN), sample("flower bed", *BED))
    assert found.finding.unit is Unit.PITS
    assert found.finding.interval == pytest.approx(expected.interval)


def test_kits_and_steps_are_never_pooled() -> None:
    pits = [*pairs(), *pairs("w", kit="kit B"), *pairs("x", steps=SORTED_ONLY)]

    comparisons = compare_sides(pits, contrast()).comparisons

    assert [(one.kit, one.steps, one.finding.n) for one in comparisons] == [
        ("kit A", SORTED_ONLY, 8),
        ("kit A", DRENCHED, 8),
        ("kit B", DRENCHED, 8),
    ]
    assert "kit A, sorted by hand and drenched: More in lawn" in comparisons[1].sentence
    assert comparisons[0].sentence.startswith("kit A, sorted by hand: More in lawn")


def test_two_pits_of_a_visit_sorted_in_different_ways_are_no_pair() -> None:
    pits = [
        pit(4, "lawn", "v", steps=DRENCHED),
        pit(4, "flower bed", "v", steps=SORTED_ONLY),
    ]

    answer = compare_sides(pits, contrast())

    assert answer.comparisons == ()
    assert answer.left_out == {NO_OTHER_SIDE: 2}


def test_p_is_adjusted_over_the_comparisons_of_the_answer() -> None:
    pits = [*pairs(), *pairs("w", kit="kit B")]

    one, other = compare_sides(pits, contrast()).comparisons

    # Holm 1979: two equal p are both doubled
    assert one.p_value is not None
    assert one.finding.p_value == pytest.approx(2 * one.p_value)
    assert other.finding.p_value == pytest.approx(2 * one.p_value)


def test_a_difference_can_be_lost_among_several() -> None:
    weak = [pit(n, "lawn", f"w{v}", kit="B") for v, n in enumerate((9, 8, 9, 7, 12, 4))]
    weak += [pit(n, "flower bed", f"w{v}", kit="B") for v, n in enumerate((5, 8, 4, 3, 6, 5))]
    equal = [pit(5 + v % 3, h, f"n{v}", kit="C") for v in range(6) for h in ("lawn", "flower bed")]

    alone = compare_sides(weak, contrast()).comparisons[0].finding
    among = compare_sides([*weak, *equal, *pairs()], contrast()).comparisons[0].finding
    same = compare_sides(equal, contrast()).comparisons[0].finding

    assert alone.p_value is not None
    assert 0.025 < alone.p_value < 0.05
    assert alone.outcome is Outcome.CLEAR
    assert among.outcome is Outcome.SEVERAL
    assert (same.ratio, same.p_value, same.outcome) == (1, 1, Outcome.SPANS_ONE)


def test_pits_on_both_sides_and_unknown_ones_are_left_out() -> None:
    words: dict[str, dict[str, Any]] = {
        "both": {"management": ["mown", "mulched"], "management_state": "listed"},
        "none": {"management": [], "management_state": "listed"},
        "unknown": {"management": None, "management_state": "not_known"},
    }
    pits = [pit(3, name, name, **columns) for name, columns in words.items()]

    answer = compare_sides(pits, contrast("auto", "management", "mown", "mulched"))

    assert answer.left_out == {"management not known": 1, ON_BOTH_SIDES: 1}


def test_visits_to_one_place_carry_a_caution() -> None:
    (found,) = compare_sides(pairs(site_id="here"), contrast()).comparisons

    assert (found.n_visits, found.n_sites) == (8, 1)
    assert found.caution == SAME_PLACE
