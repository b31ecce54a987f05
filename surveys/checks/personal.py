"""Patterns that betray a person in a free text.

They find, they do not decide: whoever reads the text decides. Postcodes and telephone numbers
follow general shapes (ITU-T E.164: a telephone number has at most 15 digits), not one country's.
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence

MAIL = re.compile(
    r"[^\s@<>()]+@[^\s@<>()]+\.\w{2,}"
    r"|\b\w[\w.]*\s*(?:\(at\)|\[at\]|\sat\s)\s*\w+\s*(?:\(dot\)|\[dot\]|\sdot\s)\s*\w+",
    re.IGNORECASE,
)
DATE = re.compile(r"\b\d{1,4}([./-])\d{1,2}\1\d{1,4}\b")
PHONE = re.compile(r"(?:\+|\b0)\d?[\d\s()./-]{6,}\d")
PHONE_DIGITS = range(9, 16)  # at most 15: ITU-T E.164; at least 9: project judgement
POSTCODE = re.compile(
    r"\b[A-Z]{1,2}\d[A-Z\d]?\s*\d[A-Z]{2}\b"  # letters and digits mixed
    r"|\b\d{4}\s?[A-Z]{2}\b"  # four digits and two letters
    r"|\b(?:[A-Z]{1,2}-)?\d{5}\s+[A-Z][a-z]+"  # five digits and a town
)
PLACE_CODE = re.compile(
    r"\d{1,3}\.\d{3,12}°?\s{0,2}[NSEW]?\s{0,2}[,;/\s]\s{0,2}[-+]?\d{1,3}\.\d{3,}"  # degrees
    r"|\d{1,3}\s*°\s*\d{1,2}(?:\.\d+)?\s*'"  # degrees and minutes
    r"|\b[A-Z]{2}\s?\d{3,5}\s?\d{3,5}\b"  # letters of a national grid
    r"|\b\d{1,2}[C-X]\s?\d{6,7}\s?\d{6,7}\b"  # zone, easting, northing
    r"|///\w+\.\w+\.\w+"  # three words with dots
)
STREET = (
    "street|st|road|rd|lane|avenue|ave|drive|way|court|gardens|terrace|crescent|square|"
    "close|row|hill"
)
ADDRESS = re.compile(
    rf"\b\d{{1,4}}[A-Za-z]?,?\s+(?:[A-Z][\w'-]+\s+){{1,3}}(?i:{STREET})\b"
    r"|\b\w+(?:stra(?:ß|ss)e|str\.|weg|gasse|laan|straat)\s+\d{1,4}\b"
    r"|\b\d{1,4},?\s+(?i:rue|via|calle)\s+\w+",
)
PATTERNS = {
    "e-mail address": MAIL,
    "postcode": POSTCODE,
    "place in coordinates or a grid": PLACE_CODE,
    "street and house number": ADDRESS,
}
APOSTROPHES = str.maketrans(dict.fromkeys("\u2018\u2019\u02bc\u2032", "'"))
SHORTEST_NAME = 3
_EVERYDAY = """
    april may june august rose ivy hazel holly heath heather robin martin field fields wood woods
    hill brook moss marsh meadow lane ford reed rush green brown black white gray grey day spring
    summer winter frost snow rain dale berry bush stone rock sand clay park farm church mill
    bridge garden and the van von den der del mac
"""
EVERYDAY = frozenset(_EVERYDAY.split())  # names that are also words of field notes


def readable(text: str) -> str:
    """Return a text with look-alike digits, letters and apostrophes made plain."""
    return unicodedata.normalize("NFKC", text).translate(APOSTROPHES)


def personal_kinds(text: str, roster: Sequence[str]) -> Iterator[str]:
    """Yield what kinds of personal data a text seems to hold, never the data."""
    plain = readable(text)
    yield from (kind for kind, pattern in PATTERNS.items() if pattern.search(plain))
    if holds_phone(plain):
        yield "telephone number"
    if any(holds_name(plain, name) for name in roster):
        yield "name of a person of the group"


def holds_phone(plain: str) -> bool:
    """Tell whether a text holds a run of digits as long as a telephone number."""
    undated = DATE.sub(" ", plain)
    return any(
        sum(char.isdigit() for char in match.group()) in PHONE_DIGITS
        for match in PHONE.finditer(undated)
    )


def holds_name(plain: str, name: str) -> bool:
    """Tell whether a text holds a whole name, or a part of it that is no everyday word."""
    words, parts = words_of(plain), words_of(readable(name))
    if any(part in words for part in parts if is_telling(part)):
        return True
    return len(parts) > 1 and f" {' '.join(parts)} " in f" {' '.join(words)} "


def is_telling(part: str) -> bool:
    """Tell whether one word of a name gives its bearer away by itself."""
    return len(part) >= SHORTEST_NAME and part not in EVERYDAY


def words_of(plain: str) -> list[str]:
    """Return the words of a text without case, accents and possessive endings."""
    bare = unicodedata.normalize("NFKD", plain.casefold())
    bare = "".join(char for char in bare if not unicodedata.combining(char))
    return re.findall(r"[^\W\d_]+", bare.replace("'s", ""))
