"""Every word and field has a label in every language."""

import pytest

from portal.records import german
from portal.records.fields import every_field
from portal.records.labels import LANGUAGES, field_labels, word_labels
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
