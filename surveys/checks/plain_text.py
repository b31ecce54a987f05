"""A free text made plain for patterns, with a way back to where each character stood.

Full-width and other look-alike forms become plain (NFKC, Unicode Standard Annex 15), digits of
any script become ASCII, characters that cannot be seen are dropped.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

_LOOK_ALIKES = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u02bc\u2032\u02b9\u0060\u00b4", "'"),
        **dict.fromkeys("\u201c\u201d\u2033\u02ba\u3003", '"'),
        **dict.fromkeys("\u00ba\u02da\u2218", "\u00b0"),  # for a degree sign
        **dict.fromkeys("\u3002\uff61\u066b\u06d4\u30fb\u00b7", "."),
        **dict.fromkeys("\u3001\u060c", ","),
        "\u2212": "-",
        "\u2044": "/",
    }
)
# Seen as nothing, though Unicode counts them among letters, marks and symbols.
_UNSEEN = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
_SPELLED = (
    (re.compile(r"(?<=\d)\s{0,3}\b(?:dot|point)\b\s{0,3}(?=\d)", re.IGNORECASE), "."),
    (re.compile(r"(?<=\d)\s{0,3}\bcomma\b\s{0,3}(?=\d)", re.IGNORECASE), ","),
    (re.compile(r"(?<=\d)\s{0,3}\b(?:dash|hyphen|slash|space)\b\s{0,3}(?=\d)", re.IGNORECASE), "-"),
)


@dataclass(frozen=True)
class PlainText:
    """A plain text; ``origins`` says for each character which part of the original it is."""

    text: str
    origins: tuple[tuple[int, int], ...]

    def span(self, match: re.Match[str]) -> tuple[int, int]:
        """Return where a match stands in the original: first character and the one after it."""
        return self.span_of(match.start(), match.end())

    def span_of(self, start: int, end: int) -> tuple[int, int]:
        """Return where a not empty part of the plain text stands in the original."""
        return self.origins[start][0], self.origins[end - 1][1]

    def replaced(self, pattern: re.Pattern[str], character: str) -> "PlainText":
        """Return the text with one character for each match."""
        text, origins, done = "", list[tuple[int, int]](), 0
        for match in pattern.finditer(self.text):
            text += self.text[done : match.start()] + character
            origins += [*self.origins[done : match.start()], self.span(match)]
            done = match.end()
        return PlainText(text + self.text[done:], (*origins, *self.origins[done:]))


def plain_text(text: str) -> PlainText:
    """Return a text made plain, with separators between digits that were spelled out."""
    pieces = [
        (char, (start, end)) for start, end in _clusters(text) for char in _plain(text[start:end])
    ]
    made = PlainText("".join(char for char, _ in pieces), tuple(origin for _, origin in pieces))
    for pattern, character in _SPELLED:
        made = made.replaced(pattern, character)
    return made


def _clusters(text: str) -> Iterator[tuple[int, int]]:
    """Yield the bounds of each character together with the marks that are put on it."""
    start = 0
    for place in range(1, len(text) + 1):
        if place == len(text) or not unicodedata.combining(text[place]):
            yield start, place
            start = place


def _plain(cluster: str) -> str:
    made = unicodedata.normalize("NFKC", cluster.translate(_LOOK_ALIKES)).translate(_LOOK_ALIKES)
    return "".join(_plain_char(char) for char in made if not _is_unseen(char))


def _is_unseen(char: str) -> bool:
    # Me: the frame of a keycap; variation selectors choose how the character before them looks.
    is_selector = "\ufe00" <= char <= "\ufe0f" or "\U000e0100" <= char <= "\U000e01ef"
    return is_selector or char in _UNSEEN or unicodedata.category(char) in {"Cf", "Me"}


def _plain_char(char: str) -> str:
    digit = unicodedata.decimal(char, None)
    if digit is not None:
        return str(digit)
    if char.isascii():
        return char
    return {"Pd": "-", "Zs": " "}.get(unicodedata.category(char), char)
