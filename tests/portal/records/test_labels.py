"""Every word and field has a label, and says what it means, in every language."""

import pytest

from portal.records import german, german_meanings, german_texts
from portal.records.fields import every_field
from portal.records.labels import (
    LANGUAGES,
    field_labels,
    field_texts,
    word_labels,
    word_meaning,
)
from portal.records.occurrence_fields import OCCURRENCE_FIELDS
from portal.records.vocabularies import VOCABULARIES

EVERY = {field.name: field for field in OCCURRENCE_FIELDS} | every_field()


@pytest.mark.parametrize("name", VOCABULARIES)
def test_every_word_has_a_label_of_its_own_in_every_language(name: str) -> None:
    labels = [word_labels(name, word) for word in VOCABULARIES[name]]

    for language in LANGUAGES:
        told = [label[language] for label in labels]
        assert all(text.strip() == text != "" for text in told)
        assert len(set(told)) == len(told), "two words must not look the same"


def test_no_label_is_of_a_word_or_field_that_is_gone() -> None:
    assert {name: set(words) for name, words in german.WORDS.items()} == {
        name: set(words) for name, words in VOCABULARIES.items()
    }
    assert set(german.FIELDS) == set(EVERY)


@pytest.mark.parametrize("name", EVERY)
def test_every_field_has_a_label_in_every_language(name: str) -> None:
    assert all(field_labels(EVERY[name])[language] for language in LANGUAGES)


@pytest.mark.parametrize("name", VOCABULARIES)
def test_every_word_says_what_it_means_in_every_language(name: str) -> None:
    for language in LANGUAGES:
        told = [word_meaning(name, word, language) for word in VOCABULARIES[name]]
        assert all(text.strip() == text != "" for text in told)
        assert len(set(told)) == len(told), "two words must not mean the same"


@pytest.mark.parametrize("name", EVERY)
def test_every_field_says_the_same_in_every_language(name: str) -> None:
    english, german_ = (field_texts(EVERY[name], language) for language in ("en", "de"))

    assert english["definition"] != german_["definition"]
    assert all(str(texts["definition"]).endswith((".", "?")) for texts in (english, german_))
    for member in ("unit_label", "null_means"):
        assert bool(english[member]) == bool(german_[member])


def test_no_german_text_is_of_something_that_is_gone() -> None:
    assert set(german_texts.DEFINITIONS) == set(EVERY)
    assert set(german_texts.UNITS) == {field.unit for field in EVERY.values()} - {""}
    assert set(german_texts.NULLS) == {field.null_means for field in EVERY.values()} - {""}
    assert {name: set(words) for name, words in german_meanings.MEANINGS.items()} == {
        name: set(words) for name, words in VOCABULARIES.items()
    }
