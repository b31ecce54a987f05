"""Find the name of a farm, field or school in a text: it would undo the blurring of a place."""

import re
from collections.abc import Iterator

from surveys.checks.plain_text import plain_text

Span = tuple[int, int]

_PLACES = """
    farm farmhouse field fields cottage school academy college house hall manor grange barn
    paddock meadow piece acre acres croft close orchard wood church chapel inn vicarage
    allotments nursery holding
"""
_NO_NAMES = """
    the a an our my your his her their this that these those each every some any no one two three
    both all same next near at in on by to from and but or of with north south east west top
    bottom upper lower old new whole i we
"""
PLACES = frozenset(_PLACES.split())
NO_NAMES = frozenset(_NO_NAMES.split())
ENDINGS = ("acre", "acres", "croft", "farm", "field", "fields", "meadow", "piece")
SHORTEST_COMPOUND = 8
WORD = re.compile(r"[^\W\d_][\w'-]*|[.!?\n]")


def named_places(text: str) -> Iterator[Span]:
    """Yield where a capitalised name stands before a word such as farm, field or school.

    A capital at the start of a sentence tells nothing unless the place word has one as well.
    """
    plain = plain_text(text)
    before: re.Match[str] | None = None
    is_first = False
    for match in WORD.finditer(plain.text):
        if not match.group()[0].isalpha():
            before = None
            continue
        word = match.group()
        if before is not None:
            if is_compound(word):
                yield plain.span(match)
            elif _is_named(before.group(), word, is_first=is_first):
                yield plain.span_of(before.start(), match.end())
        before, is_first = match, before is None


def _is_named(before: str, word: str, *, is_first: bool) -> bool:
    is_place = word.casefold().removesuffix("'s") in PLACES
    return is_place and is_name(before) and (word[0].isupper() or not is_first)


def is_name(word: str) -> bool:
    """Tell whether a word is written like a name."""
    return word[:1].isupper() and word.casefold() not in NO_NAMES


def is_compound(word: str) -> bool:
    """Tell whether a word is one name with a place word at its end, such as Hangfield."""
    return word[:1].isupper() and len(word) >= SHORTEST_COMPOUND and word.endswith(ENDINGS)
