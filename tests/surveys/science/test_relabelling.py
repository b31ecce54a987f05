"""Moves between groups that changed numbers tell of."""

from collections import Counter

import pytest

from surveys.science.relabelling import Moves, fewest_moves


def test_unchanged_numbers_are_right_as_written() -> None:
    moves = fewest_moves({"epigeic": 2, "endogeic": 5}, {"epigeic": 2, "endogeic": 5})

    assert moves == Moves(Counter({("epigeic", "epigeic"): 2, ("endogeic", "endogeic"): 5}))


def test_animals_that_left_one_group_came_into_the_other() -> None:
    moves = fewest_moves({"epigeic": 4, "anecic": 0}, {"epigeic": 1, "anecic": 3})

    assert moves.pairs == {("epigeic", "epigeic"): 1, ("anecic", "epigeic"): 3}


def test_one_group_may_have_held_animals_of_two() -> None:
    written = {"epigeic": 5, "endogeic": 0, "anecic": 0}

    moves = fewest_moves(written, {"epigeic": 2, "endogeic": 1, "anecic": 2})

    assert moves.pairs[("endogeic", "epigeic")] == 1
    assert moves.pairs[("anecic", "epigeic")] == 2
    assert moves.not_attributable == 0


def test_two_groups_may_have_held_animals_of_one() -> None:
    moves = fewest_moves({"epigeic": 3, "endogeic": 2}, {"anecic": 5})

    assert moves.pairs == {("anecic", "epigeic"): 3, ("anecic", "endogeic"): 2}


def test_moves_that_numbers_leave_open_are_not_guessed() -> None:
    written = {"epigeic": 2, "endogeic": 2, "anecic": 0, "unassigned": 0}
    verified = {"epigeic": 0, "endogeic": 0, "anecic": 2, "unassigned": 2}

    moves = fewest_moves(written, verified)

    assert (dict(moves.pairs), moves.not_attributable) == ({}, 4)


@pytest.mark.parametrize(
    ("written", "verified", "moved", "added", "dropped"),
    [
        ({"epigeic": 2}, {"epigeic": 5}, 0, 3, 0),
        ({"epigeic": 5}, {"epigeic": 2}, 0, 0, 3),
        ({"epigeic": 4, "anecic": 0}, {"epigeic": 0, "anecic": 3}, 3, 0, 1),
        ({"epigeic": 2, "anecic": 0}, {"epigeic": 0, "anecic": 3}, 2, 1, 0),
    ],
)
def test_animals_found_or_lost_are_no_matter_of_labels(
    written: dict[str, int], verified: dict[str, int], moved: int, added: int, dropped: int
) -> None:
    moves = fewest_moves(written, verified)

    assert moves.pairs[("anecic", "epigeic")] == moved
    assert (moves.added, moves.dropped, moves.not_attributable) == (added, dropped, 0)


def test_too_few_came_for_two_groups_to_be_told_apart() -> None:
    moves = fewest_moves({"epigeic": 2}, {"endogeic": 2, "anecic": 2})

    assert (dict(moves.pairs), moves.not_attributable, moves.added) == ({}, 2, 2)


def test_moves_of_several_pits_are_added_up() -> None:
    total = fewest_moves({"epigeic": 4}, {"epigeic": 1, "anecic": 3})

    total.add(fewest_moves({"epigeic": 2}, {"epigeic": 1}))

    assert total.pairs == {("epigeic", "epigeic"): 2, ("anecic", "epigeic"): 3}
    assert total.dropped == 1
