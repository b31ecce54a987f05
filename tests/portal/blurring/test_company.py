"""Whatever stands beside a place is held by enough units there, over random neighbourhoods."""

from collections import Counter
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.blurring.company import coarser_words, thin_places, too_few_unnamed
from portal.statistics.coarse_words import PARENTS, UNTOLD

HABITATS, ROOT = PARENTS["habitat"], UNTOLD["habitat"]
LEAST = 3
CELL = ("household", "0.01|52.88|-0.73")
ELSEWHERE = ("household", "0.01|52.70|-0.73")
WORDS = [*HABITATS, *{*HABITATS.values()}, "a word of tomorrow"]
neighbourhoods = st.dictionaries(
    st.sampled_from(WORDS), st.text("ABCDEFGH", min_size=1, max_size=9), max_size=8
)


def coarser(held: dict[str, str]) -> dict[str, str]:
    """Return the changes for words each held by units, a letter a pit."""
    return coarser_words(
        {word: Counter(pits) for word, pits in held.items()}, HABITATS, ROOT, LEAST
    )


def shown(held: dict[str, str]) -> dict[str, str]:
    """Return the units that hold each word once it is told as it may be."""
    found: dict[str, str] = {}
    changes = coarser(held)
    for word, pits in held.items():
        to = changes.get(word, word)
        found[to] = found.get(to, "") + pits
    return found


@pytest.mark.parametrize(
    ("held", "changes"),
    [
        ({"lawn": "ABC", "hedge": "BCD"}, {}),
        # Rare ones of one kind, held by three together, are told as that kind.
        (
            {"lawn": "ABCDE", "flower bed": "AB", "vegetable plot": "C"},
            {"flower bed": "cultivated ground", "vegetable plot": "cultivated ground"},
        ),
        # Of two kinds: not even the kind may be told.
        (
            {"lawn": "ABCDE", "hedge": "AB", "vegetable plot": "C"},
            {"hedge": ROOT, "vegetable plot": ROOT},
        ),
        # One alone: the other word that stands for fewest pits joins it.
        (
            {"lawn": "ABCDE", "scrub": "ABCAA", "flower bed": "ABCD", "hedge": "A"},
            {"hedge": ROOT, "flower bed": ROOT},
        ),
        # A kind that was put in place before takes a rare one of its own.
        (
            {"cultivated ground": "ABC", "crop field": "A", "lawn": "ABCDE"},
            {"crop field": "cultivated ground"},
        ),
        ({"a word of tomorrow": "A", "lawn": "ABCD"}, {"a word of tomorrow": ROOT, "lawn": ROOT}),
    ],
)
def test_rare_word_is_told_as_what_enough_units_hold(
    held: dict[str, str], changes: dict[str, str]
) -> None:
    assert coarser(held) == changes


@given(neighbourhoods)
def test_every_shown_word_is_held_by_enough_or_all_are_told_alike(held: dict[str, str]) -> None:
    left = shown(held)

    too_few = [word for word, pits in left.items() if len(set(pits)) < LEAST]
    assert too_few == [] or set(left) == {ROOT}
    assert all(to in {ROOT, HABITATS.get(word)} for word, to in coarser(held).items())


@given(neighbourhoods)
def test_words_once_told_coarsely_need_no_more(held: dict[str, str]) -> None:
    assert coarser(shown(held)) == {}


@given(neighbourhoods, st.randoms())
def test_order_of_words_never_matters(held: dict[str, str], drawn: Random) -> None:
    shuffled = list(held.items())
    drawn.shuffle(shuffled)

    assert coarser(dict(shuffled)) == coarser(held)


@pytest.mark.parametrize(
    ("named", "unnamed", "is_held_back"),
    [("AB", "CDE", False), ("ABC", "DE", True), ("ABCD", "E", True), ("ABCDE", "", False)],
)
def test_names_are_held_back_where_some_but_too_few_stay_unnamed(
    named: str, unnamed: str, *, is_held_back: bool
) -> None:
    records = [(CELL, unit, True) for unit in named] + [(CELL, unit, False) for unit in unnamed]
    records += [(CELL, named[0], False)]  # another visit of a household that is named

    assert too_few_unnamed(records, lambda _: LEAST) == ({CELL} if is_held_back else set())


def test_owner_is_thin_where_it_has_too_few_units_of_its_own() -> None:
    records = [("QVD", CELL, unit) for unit in "ABC"] + [("QVD", ELSEWHERE, unit) for unit in "DD"]
    records += [("HAM", CELL, unit) for unit in "EFG"]

    assert thin_places(records, LEAST) == {"QVD": {ELSEWHERE}}
