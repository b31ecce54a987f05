"""How words and fields are called in each language, and what they mean."""

from portal.records import german, german_meanings, german_texts
from portal.records.fields import Field
from portal.records.vocabularies import VOCABULARIES

LANGUAGES = ("en", "de")


def word_labels(vocabulary: str, word: str) -> dict[str, str]:
    """Return what a word is called, by language."""
    return {"en": word.replace("_", " "), "de": german.WORDS[vocabulary][word]}


def word_meaning(vocabulary: str, word: str, language: str) -> str:
    """Return what a word means, in a language."""
    told = german_meanings.MEANINGS if language == "de" else VOCABULARIES
    return told[vocabulary][word]


def field_labels(field: Field) -> dict[str, str]:
    """Return what a field is called, by language."""
    return {"en": field.label, "de": german.FIELDS[field.name]}


def field_texts(field: Field, language: str) -> dict[str, str | None]:
    """Return definition, unit in words and what null means, in a language."""
    if language == "de":
        return {
            "definition": german_texts.DEFINITIONS[field.name],
            "unit_label": german_texts.UNITS[field.unit] if field.unit else "",
            "null_means": german_texts.NULLS[field.null_means] if field.null_means else None,
        }
    return {
        "definition": field.definition,
        "unit_label": field.unit,
        "null_means": field.null_means or None,
    }
