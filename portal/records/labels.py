"""How words and fields are called in each language."""

from portal.records import german
from portal.records.fields import Field

LANGUAGES = ("en", "de")


def word_labels(vocabulary: str, word: str) -> dict[str, str]:
    """Return what a word is called, by language."""
    return {"en": word.replace("_", " "), "de": german.WORDS[vocabulary][word]}


def field_labels(field: Field) -> dict[str, str]:
    """Return what a field is called, by language."""
    return {"en": field.label, "de": german.FIELDS[field.name]}
