"""Checks of counts."""

from dataclasses import replace

import pytest

from surveys.visits.facts import CountFacts
from tests.surveys.checks.visits import (
    around,
    count,
    drench,
    hand_sort,
    kit,
    not_poured,
    pit,
    responses,
    visit,
)


def codes(label: str, *pits: object, **known: object) -> list[str]:
    return [one.code for one in responses(label, visit(pits=pits), around(**known)) if one.code]


@pytest.mark.parametrize(
    ("phases", "found"),
    [
        ((hand_sort(0, 0, 0, 0), drench(0, 0, 0, 0)), []),
        ((hand_sort(None, None, None, None), drench(None, None, None, None)), ["counts-blank"]),
        ((hand_sort(None, None, None, None), not_poured()), ["counts-blank"]),
        ((not_poured(),), []),
        ((), ["counts-blank"]),
        ((hand_sort(1, None, None, None),), []),
    ],
    ids=["zeros", "all blank", "blank, rest not looked for", "not looked for", "none", "partly"],
)
def test_blank_pit_is_told_from_a_zero_pit(phases: tuple[object, ...], found: list[str]) -> None:
    assert codes("VALIDATION_COUNTS_NOTEMPTY", pit(phases=phases)) == found


def test_blank_lines_beside_filled_ones_are_named_with_their_number() -> None:
    sent = visit(pits=(pit(phases=(hand_sort(1, None, None, 2),)),))

    (response,) = responses("VALIDATION_COUNTS_COMPLETE", sent, around())

    assert response.code == "counts-partly-blank"
    assert response.arguments["received"] == "2"


@pytest.mark.parametrize(
    ("line", "found"),
    [
        (count("epigeic", 0), []),
        (count("epigeic", -1), ["count-negative"]),
        (CountFacts("epigeic", "adult", "", "counted", None), ["count-not-a-number"]),
        (CountFacts("epigeic", "adult", "", "not_looked_for", 0), ["count-negative"]),
    ],
    ids=["zero", "negative", "counted without number", "not looked for with number"],
)
def test_count_needs_a_whole_number_exactly_when_counted(
    line: CountFacts, found: list[str]
) -> None:
    phase = replace(hand_sort(0, 0, 0, 0), counts=(line,))

    assert codes("VALIDATION_COUNTS_NONNEGATIVEINTEGER", pit(phases=(phase,))) == found


@pytest.mark.parametrize(
    ("total", "found"), [(9, []), (8, ["total-differs"]), (0, ["total-differs"])]
)
def test_total_is_the_sum_over_all_steps(total: int, found: list[str]) -> None:
    assert codes("VALIDATION_COUNTS_SUMCONSISTENT", pit(total=total)) == found


def test_total_beside_blank_counts_cannot_be_compared() -> None:
    blank = pit(total=4, phases=(hand_sort(None, None, None, None),))

    (response,) = responses("VALIDATION_COUNTS_SUMCONSISTENT", visit(pits=(blank,)), around())

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("confirmed", "found"),
    [(True, []), (False, ["zero-not-confirmed"]), (None, ["zero-not-confirmed"])],
)
def test_zero_pit_needs_a_confirmation(*, confirmed: bool | None, found: list[str]) -> None:
    empty = pit(phases=(hand_sort(0, 0, 0, 0),), sorted_to_end=confirmed)

    assert codes("VALIDATION_ZEROPIT_CONFIRMED", empty) == found


def test_pit_with_animals_needs_no_confirmation() -> None:
    sent = visit(pits=(pit(sorted_to_end=None),))

    (response,) = responses("VALIDATION_ZEROPIT_CONFIRMED", sent, around())

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("number", "found"),
    [
        # plausibility table of the programme for 0.04 m2: ask above 40, beyond belief above 120
        (40, []),
        (41, ["count-unusual"]),
        (120, ["count-unusual"]),
        (121, ["count-beyond-belief"]),
    ],
)
def test_number_above_the_limit_of_the_kit_is_asked_about(number: int, found: list[str]) -> None:
    many = pit(phases=(hand_sort(0, 0, 0, number),))

    assert codes("VALIDATION_COUNTS_LIKELY", many) == found


def test_number_is_compared_with_earlier_pits_once_there_are_enough() -> None:
    earlier = (4, 5, 6) * 20
    many = pit(phases=(hand_sort(0, 0, 0, 30),))

    assert codes("VALIDATION_COUNTS_LIKELY", many, earlier_totals=earlier) == ["count-unusual"]
    assert codes("VALIDATION_COUNTS_LIKELY", many, earlier_totals=earlier[:29]) == []


def test_blank_pit_is_not_called_unlikely() -> None:
    blank = pit(phases=(hand_sort(None, None, None, None),))

    (response,) = responses("VALIDATION_COUNTS_LIKELY", visit(pits=(blank,)), around())

    assert response.status == "INTERNAL_PREREQUISITES_NOT_MET"


@pytest.mark.parametrize(
    ("line", "name", "found"),
    [
        (count("anecic", 1), "contrast-pit/2", []),
        (count("anecic", 1, "juvenile"), "contrast-pit/2", ["category-not-in-kit"]),
        (count("unassigned", 1, "egg"), "contrast-pit/2", ["category-not-in-kit"]),
        (count("anecic", 1, taxon="Lumbricus terrestris"), "species-pit/1", []),
        (
            count("epigeic", 1, taxon="Lumbricus terrestris"),
            "species-pit/1",
            ["category-not-in-kit"],
        ),
    ],
    ids=["adult", "grouped juvenile", "egg", "species", "species in another group"],
)
def test_line_must_be_one_that_the_kit_counts(
    line: CountFacts, name: str, found: list[str]
) -> None:
    phase = replace(hand_sort(0, 0, 0, 0), counts=(line,))
    label = "VALIDATION_LIFESTAGE_GROUP_CONSISTENT"

    assert codes(label, pit(phases=(phase,)), protocol=kit(name)) == found
