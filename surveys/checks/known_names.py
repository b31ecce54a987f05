"""Find names and codes that a group knows its people and places by."""

import re
import unicodedata
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from surveys.checks.plain_text import plain_text

Span = tuple[int, int]

SHORTEST_NAME = 3
SHORTEST_UNSPACED = 2
SHORTEST_CODE = 3
LONGEST_CODE_PARTS = 6
# Made plain once: a group with thousands of codes sends its visits one after the other.
GROUPS_KEPT = 4
WORDS_KEPT = 50_000
_EVERYDAY = """
    april may june august rose ivy hazel holly heath heather robin martin field fields wood woods
    hill brook moss marsh meadow lane ford reed rush green brown black white gray grey day spring
    summer winter frost snow rain dale berry bush stone rock sand clay park farm church mill
    bridge garden and the van von den der del mac
    ash oak elm beech birch rowan willow laurel olive lily daisy poppy violet iris fern thorn
    fox wren jay lark swift finch crane heron lamb bee worms worm waters pool rivers lake dean glen
    cliff long short little young wet cold sharp hard dug dry mould root roots barrow rake spade
    household house home family flat cottage school class team group club society survey diggers
    village town county local community volunteers friends soil site place plot pit lawn orchard
    hedge pasture bed heap verge bank bog scrub compost allotment allotments plots yard corner
    north south east west front back upper lower old new one two three for with from
"""
EVERYDAY = frozenset(_EVERYDAY.split())  # names that are also words of field notes
_WORD = re.compile(r"[^\W\d_]+(?:'s\b)?")
_DIGIT = re.compile(r"\d")
_PART = re.compile(r"[^\W\d_]+|\d+")
_JOINTS = frozenset(["", " ", "-", "_", ".", "/"])


@dataclass(frozen=True)
class Names:
    """What gives a name away: runs of words, words of scripts without spaces, runs of a code."""

    runs: frozenset[tuple[str, ...]] = frozenset()
    unspaced: frozenset[str] = frozenset()
    codes: frozenset[str] = frozenset()


def names_in(text: str, names: Sequence[str]) -> Iterator[Span]:
    """Yield where a plain text holds a whole name, or a part of it that is no everyday word."""
    known = _known_names(tuple(names))
    yield from _runs_in(text, known.runs)
    for part in known.unspaced:
        yield from (match.span() for match in re.finditer(part, text))


def codes_in(text: str, codes: Sequence[str]) -> Iterator[Span]:
    """Yield where a plain text holds a code of letters and digits, however its parts are joined.

    A code without a digit, or the name of a household or group, is found where all its words
    stand together, unless they are everyday words.
    """
    known = _known_codes(tuple(codes))
    parts = list(_PART.finditer(text))
    for start, first in enumerate(parts):
        run, end = "", first.start()
        for part in parts[start : start + LONGEST_CODE_PARTS]:
            if text[end : part.start()] not in _JOINTS:
                break
            run, end = run + bare(part.group()), part.end()
            if run in known.codes:
                yield first.start(), end
    yield from _runs_in(text, known.runs)


def _runs_in(text: str, runs: Collection[tuple[str, ...]]) -> Iterator[Span]:
    """Yield where all words of a run stand one after the other."""
    words = [(bare(match.group()), match.span()) for match in _WORD.finditer(text)]
    for length in {len(run) for run in runs}:
        for start in range(len(words) - length + 1):
            found = words[start : start + length]
            if tuple(word for word, _ in found) in runs:
                yield found[0][1][0], found[-1][1][1]


@lru_cache(maxsize=GROUPS_KEPT)
def _known_names(names: tuple[str, ...]) -> Names:
    split = [_words_of(name) for name in names]
    bared = [tuple(bare(part) for part in parts) for parts in split]
    telling = {(part,) for parts in bared for part in parts if is_telling(part)}
    return Names(
        runs=frozenset(telling | {parts for parts in bared if len(parts) > 1}),
        unspaced=frozenset(
            part for parts in split for part in parts if is_unspaced(part) and is_telling(part)
        ),
    )


@lru_cache(maxsize=GROUPS_KEPT)
def _known_codes(codes: tuple[str, ...]) -> Names:
    in_words = [code for code in codes if not _DIGIT.search(code)]
    runs = {tuple(bare(part) for part in _words_of(code)) for code in in_words}
    return Names(
        runs=frozenset(parts for parts in runs if any(map(is_telling, parts))),
        codes=frozenset(map(_code_run, codes)) - {""},
    )


@lru_cache(maxsize=WORDS_KEPT)
def _words_of(name: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(plain_text(name).text))


@lru_cache(maxsize=WORDS_KEPT)
def _code_run(code: str) -> str:
    """Return a code as one run of letters and digits; empty for an everyday word with digits."""
    parts = [bare(match.group()) for match in _PART.finditer(plain_text(code).text)]
    letters = [part for part in parts if not part.isdigit()]
    run = "".join(parts)
    is_mixed = letters and len(letters) < len(parts)
    if not is_mixed or len(run) < SHORTEST_CODE or all(part in EVERYDAY for part in letters):
        return ""
    return run


def is_telling(part: str) -> bool:
    """Tell whether one word of a name gives its bearer away by itself."""
    shortest = SHORTEST_UNSPACED if is_unspaced(part) else SHORTEST_NAME
    return len(part) >= shortest and part not in EVERYDAY


def is_unspaced(part: str) -> bool:
    """Tell whether a word is of a script that puts no spaces between words."""
    return "\u2e80" <= part[:1] <= "\u9fff" or "\u0e00" <= part[:1] <= "\u0e7f"


def bare(word: str) -> str:
    """Return a word without case, accents and possessive ending."""
    apart = unicodedata.normalize("NFKD", word.casefold().removesuffix("'s"))
    return "".join(char for char in apart if not unicodedata.combining(char))
