"""The public words are the private side's: one vocabulary, told twice, held together here."""

from collections.abc import Iterable

import pytest
from django.db.models import TextChoices

from portal.records.vocabularies import VOCABULARIES
from portal.statistics.coarse_words import KINDS, MEANINGS, is_coarse
from surveys.protocol import vocabulary

CHOICES: dict[str, type[TextChoices]] = {
    "group": vocabulary.EcologicalGroup,
    "stage": vocabulary.LifeStage,
    "method": vocabulary.PhaseKind,
    "phase_state": vocabulary.PhaseState,
    "count_state": vocabulary.CountState,
    "moisture": vocabulary.Moisture,
    "fizz": vocabulary.Fizz,
    "texture": vocabulary.Texture,
}
SOIL = ("moisture", "fizz", "texture")


@pytest.mark.parametrize("name", CHOICES)
def test_words_are_those_of_the_form(name: str) -> None:
    more = {"not_looked_for"} if name in SOIL else set()

    assert set(VOCABULARIES[name]) == set(CHOICES[name].values) | more


def test_habitats_and_management_have_the_same_words_and_meanings() -> None:
    meanings = {word: meaning for word, (meaning, _) in vocabulary.HABITATS.items()}

    assert VOCABULARIES["habitat"] == meanings | MEANINGS["habitat"]
    assert VOCABULARIES["management"] == vocabulary.MANAGEMENT | MEANINGS["management"]


def test_every_word_of_the_form_has_one_coarser_word_and_no_form_takes_those() -> None:
    words: dict[str, Iterable[str]] = {
        "habitat": vocabulary.HABITATS,
        "management": vocabulary.MANAGEMENT,
    }

    for name, kinds in KINDS.items():
        finer = [word for _, stands_for in kinds.values() for word in stands_for]
        assert sorted(finer) == sorted(words[name])
        assert not set(kinds) & set(words[name])
        assert all(is_coarse(kind, name) for kind in kinds)


def test_kinds_of_habitat_are_the_letters_of_eunis() -> None:
    """EUNIS 2012, level 1: F shrubs (vineyards are FB, hedges FA), C and D waters and mires."""
    for kind, (_, words) in KINDS["habitat"].items():
        letters = {vocabulary.HABITATS[word][1][0] for word in words}
        assert len(letters) == 1 or letters == {"C", "D"}, kind


@pytest.mark.parametrize("name", VOCABULARIES)
def test_every_word_has_a_meaning_and_fits_a_filter(name: str) -> None:
    for word, meaning in VOCABULARIES[name].items():
        assert meaning.strip()
        assert not set(word) & set(",|"), "commas join words in addresses, bars in columns"
