"""The planned questions use words that exist."""

import pytest

from portal.analysis.questions import DEEP_ANIMALS, QUESTIONS, Question
from portal.records.vocabularies import VOCABULARIES


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.key)
def test_question_names_known_words_on_sides_that_do_not_overlap(question: Question) -> None:
    first, second = question.contrast.first, question.contrast.second
    words = VOCABULARIES[first.by]

    assert set(first.words + second.words) <= set(words)
    assert first.by == second.by
    assert not [word for word in words if first.takes((word,)) and second.takes((word,))]
    for column, chosen in question.only.items():
        assert set(chosen) <= set(VOCABULARIES[column])


def test_each_question_has_its_own_key() -> None:
    keys = [question.key for question in QUESTIONS]

    assert len(set(keys)) == len(keys)
    assert {"tillage", "pasture", "dryness", "mulch", "garden"} <= set(keys)


def test_deep_animals_are_adults_of_the_deep_burrowing_group() -> None:
    assert DEEP_ANIMALS == {"group": ("anecic",), "stage": ("adult",)}
