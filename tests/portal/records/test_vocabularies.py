"""The public words are the private side's: one vocabulary, told twice, held together here."""

import pytest
from django.db.models import TextChoices

from portal.records.vocabularies import VOCABULARIES
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

    assert VOCABULARIES["habitat"] == meanings
    assert VOCABULARIES["management"] == vocabulary.MANAGEMENT


@pytest.mark.parametrize("name", VOCABULARIES)
def test_every_word_has_a_meaning_and_fits_a_filter(name: str) -> None:
    for word, meaning in VOCABULARIES[name].items():
        assert meaning.strip()
        assert not set(word) & set(",|"), "commas join words in addresses, bars in columns"
