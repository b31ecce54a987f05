"""Ways to reach a person, as they stand in plain text: mail, telephone, web, a titled name.

A telephone number has at most 15 digits (ITU-T E.164); all else is common practice, no source.
"""

import re
from collections.abc import Iterator

Span = tuple[int, int]

MAIL = re.compile(
    r"[^\s@<>()]{1,64}@[^\s@<>()]+\.\w{2,}"
    r"|\b\w[\w.+-]{0,63}\s{0,2}(?:[(\[{_]at[)\]}_]|\sat\s|@)\s{0,2}"
    r"\w[\w-]{0,62}\s{0,2}(?:[(\[{_](?:dot|punkt|point)[)\]}_]|\s(?:dot|punkt)\s)\s{0,2}\w{2,}",
    re.IGNORECASE,
)
WEB = re.compile(
    r"\b(?:https?|ftp)\s?:\s?//\s?\S+|\bwww\s?\.\s?\S+|\b(?:geo|tel|mailto):\S+"
    r"|(?<![\w@.-])(?:[\w-]{1,63}\.){1,4}(?:com|org|net|info|edu|gov|example|(?:co|ac|org)\.uk)\b"
    r"|(?<![\w@.-])(?:[\w-]{1,63}\.){1,4}[a-z]{2,10}/[\w~]\S*"
    r"|(?<![\w.@/])@[^\W\d_]\w{2,29}",
    re.IGNORECASE,
)
_TITLES = (
    "Mr|Mrs|Ms|Miss|Mx|Dr|Prof|Professor|Herr|Frau|Mme|Madame|Monsieur|Se\u00f1ora?|Pan[i\u00ed]"
)
_KIN = (
    "son|daughter|wife|husband|partner|mum|mother|dad|father|brother|sister|gran\\w{0,6}|aunt|"
    "uncle|neighbou?r|friend|pupil|teacher|boy|girl|child"
)
PERSON = re.compile(
    rf"\b(?:{_TITLES})\b\.?\s{{1,3}}[A-Z\u00c0-\u00de]\w+"
    rf"|\b(?i:my|our|his|her|their)\s(?i:{_KIN}),?\s[A-Z\u00c0-\u00de]\w{{2,}}"
)

_DATE = re.compile(
    r"(?<![\d./-])(?:\d{1,2}([./-])\d{1,2}\1(?:\d{2}|(?:19|20)\d{2})"
    r"|(?:19|20)\d{2}([./-])\d{1,2}\2\d{1,2})(?!\d|[./-]\d)"
)
_SEPARATED = r"[\d\s()./_-]"
_CALLS = (
    "phone|telephone|tel|mobile|mob|cell|ring|call|text|sms|fax|handy|t\u00e9l|telefon|"
    "telefoon|tel\u00e9fono|m\u00f3vil|\u0442\u0435\u043b|\u0647\u0627\u062a\u0641|\u96fb\u8a71|\u7535\u8bdd"
)
# pattern, fewest digits: those that say "telephone" by themselves need fewer
_PHONES = (
    (re.compile(rf"(?:\+\s?\(?\d|(?<![\d.,])0\d|\(0\d){_SEPARATED}{{6,24}}\d"), 9),
    (re.compile(rf"(?<![\w.])(?:{_CALLS})\b\W{{0,3}}(?:[^\W\d]{{1,9}}\W{{1,3}}){{0,3}}\+?\(?\d"
                rf"{_SEPARATED}{{4,24}}\d", re.IGNORECASE), 6),
    (re.compile(r"(?<![\d.,-])\(?\d{3}\)?[\s.-]?\d{3}[\s.-]\d{4}(?![\d.,]*\d)"), 10),
    (re.compile(r"(?<![\d.,])\d{5}[\s-]\d{5,6}(?!\d)"), 10),
    (re.compile(r"(?<![\d.,])\d{9,15}(?!\d)"), 9),
    (re.compile(r"(?<!\d)[+0](?:[\s._*-]\d(?!\d)){9,14}"), 9),
)  # fmt: skip
_MOST_DIGITS = 15
_DIGIT_WORD = "zero|oh|nought|one|two|three|four|five|six|seven|eight|nine|double|triple"
_SPELLED_PHONE = re.compile(
    rf"\b(?:{_DIGIT_WORD})(?:[\s,.-]{{1,3}}(?:{_DIGIT_WORD})\b){{6,}}", re.IGNORECASE
)


def phones(text: str) -> Iterator[Span]:
    """Yield where a plain text holds digits as a telephone number has them; dates are none."""
    undated = _DATE.sub(lambda match: "#" * len(match.group()), text)
    for pattern, fewest in _PHONES:
        for match in pattern.finditer(undated):
            places = [place for place in range(*match.span()) if undated[place].isdigit()]
            if fewest <= len(places) <= _MOST_DIGITS:
                yield places[0], places[-1] + 1
    yield from (match.span() for match in _SPELLED_PHONE.finditer(text))
