"""Consent statements: complete, in plain words, and never changed once released."""

import re
from datetime import date

import pytest
from django.core.management import call_command

from surveys.people.models import ConsentPurpose, ConsentStatement
from surveys.people.wording import (
    LANGUAGES,
    Statement,
    StatementChanged,
    library,
    load_statement,
    text_sha256,
)
from tests.factories.private import NOW

STATEMENTS = library()
# Hashes of released files. A file that differs must be another version instead.
RELEASED = {
    "be_named/1": "b0c5c09b0af7c254435d2f723ae815a99b9d33e0434d8a16d7eb4b6dab35cab6",
    "contact/1": "d0b37b8c86b3553db71cf9e0ab17bcdf9d0be7ac68eaebfae13848cd2f90d5ed",
    "exact_place/1": "eb62196462c897b8a8ee6baa04907e4a25afaec5af506090613a2708974da099",
    "photos/1": "7b52e919edcb74ba4410409830527b70ddc1a20b933e47d24c2d7aabc4bf3032",
    "publish/1": "4596e7f9818bd7636cfe958bcb05870ceff3f69b1cda36ca95ceaeec46f3eaa0",
}
LONGEST = {"question": 20, "statement": 30, "for_children": 20}  # words; project judgement


@pytest.mark.parametrize("name", RELEASED)
def test_released_statement_is_word_for_word_what_it_was(name: str) -> None:
    assert {one.name: one.sha256 for one in STATEMENTS}[name] == RELEASED[name]


def test_every_statement_of_the_folder_is_pinned() -> None:
    assert {one.name for one in STATEMENTS} == set(RELEASED)


def test_every_purpose_is_asked_in_every_language_and_for_children() -> None:
    assert {one.purpose for one in STATEMENTS} == set(ConsentPurpose)
    for one in STATEMENTS:
        assert tuple(one.texts) == LANGUAGES


def test_meaning_of_a_purpose_never_goes_back() -> None:
    for purpose in ConsentPurpose:
        meanings = [one.meaning for one in STATEMENTS if one.purpose == purpose]
        assert meanings == sorted(meanings)
        assert meanings[0] == 1


@pytest.mark.parametrize("statement", STATEMENTS, ids=lambda one: one.name)
def test_sentences_are_short_and_children_read_shorter_ones(statement: Statement) -> None:
    for words in statement.texts.values():
        for name, longest in LONGEST.items():
            assert _longest(getattr(words, name)) <= longest, name


@pytest.mark.django_db
def test_command_stores_each_statement_once(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("loadstatements")
    first = list(ConsentStatement.objects.values())
    call_command("loadstatements")

    assert list(ConsentStatement.objects.values()) == first
    assert len(first) == len(STATEMENTS)
    assert "publish/1: May we publish" in capsys.readouterr().out


@pytest.mark.django_db
def test_stored_version_never_takes_other_words() -> None:
    load_statement(STATEMENTS[0], at=NOW)

    with pytest.raises(StatementChanged, match="new version"):
        load_statement(STATEMENTS[0].model_copy(update={"meaning": 2}), at=NOW)


@pytest.mark.django_db
def test_older_meanings_end_at_once_or_after_the_grace_of_the_file() -> None:
    change = {"version": "2", "meaning": 2, "valid_from": date(2025, 5, 1)}
    grace = {"version": "3", "meaning": 3, "older_hold_until": date(2025, 7, 1)}

    at_once = load_statement(STATEMENTS[0].model_copy(update=change), at=NOW)
    later = load_statement(STATEMENTS[0].model_copy(update=change | grace), at=NOW)

    assert (at_once.older_end_on, later.older_end_on) == (date(2025, 5, 1), date(2025, 7, 1))


@pytest.mark.django_db
def test_hash_of_the_words_differs_by_language() -> None:
    stored = load_statement(STATEMENTS[0], at=NOW)

    assert len({text_sha256(stored, language) for language in ("en", "de", "")}) == 3


def _longest(text: str) -> int:
    return max(len(sentence.split()) for sentence in re.split(r"[.!?:;]", text))
