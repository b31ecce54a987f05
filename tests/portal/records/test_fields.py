"""The data dictionary."""

import pytest

from portal.records.fields import FIELDS, Field, every_field, field_names
from portal.records.vocabularies import VOCABULARIES

TYPES = {"id", "text", "word", "words", "whole number", "number", "yes/no", "date", "day"}


@pytest.mark.parametrize("collection", FIELDS)
def test_names_are_unique_and_the_id_comes_first(collection: str) -> None:
    names = field_names(collection)

    assert names[0] == "id"
    assert len(names) == len(set(names))


@pytest.mark.parametrize("field", every_field().values(), ids=lambda field: field.name)
def test_field_is_defined_in_words(field: Field) -> None:
    known = every_field()[field.name]

    assert known.type in TYPES
    assert known.label
    assert known.definition[-1] in ".?"
    assert known.vocabulary in {"", *VOCABULARIES}
    ending = known.name.rpartition("_")[2]
    if ending in {"cm", "m", "m2", "ml", "min"}:
        assert known.unit.endswith(ending)


def test_words_are_told_by_their_vocabulary() -> None:
    for field in every_field().values():
        assert bool(field.vocabulary) == (field.type in {"word", "words"}), field.name


def test_same_name_means_the_same_everywhere() -> None:
    for fields in FIELDS.values():
        for field in fields:
            assert every_field()[field.name] == field
