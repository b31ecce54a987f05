"""Find in a free text what betrays a person or a place; a person then decides.

Not found: a first name that stands alone and is not on the group's roster, letters of one
script that pose as another's, and places described in words ("behind the old station").
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from surveys.checks.contact_patterns import MAIL, PERSON, WEB, phones
from surveys.checks.known_names import codes_in, names_in
from surveys.checks.place_patterns import ADDRESS, PLACE_CODE, POSTCODE
from surveys.checks.plain_text import plain_text

Span = tuple[int, int]

PATTERNS = {
    "e-mail address": MAIL,
    "web address or handle": WEB,
    "name with a title or kinship": PERSON,
    "postcode": POSTCODE,
    "place in coordinates or a grid": PLACE_CODE,
    "street and house number": ADDRESS,
}
PHONE = "telephone number"
NAME = "name of a person of the group"
CODE = "code or name of a participant, household, site or group"


@dataclass(frozen=True)
class Found:
    """One kind of personal data and where it stands: first character and the one after it."""

    kind: str
    spans: tuple[Span, ...]


def personal_data_in(
    text: str, names: Sequence[str] = (), codes: Sequence[str] = ()
) -> Iterator[Found]:
    """Yield each kind of personal data that a text seems to hold, never the data itself."""
    plain = plain_text(text)
    found: dict[str, list[Span]] = {
        kind: [match.span() for match in pattern.finditer(plain.text)]
        for kind, pattern in PATTERNS.items()
    }
    found[PHONE] = list(phones(plain.text))
    found[NAME] = list(names_in(plain.text, names))
    found[CODE] = list(codes_in(plain.text, codes))
    for kind, spans in found.items():
        if spans:
            yield Found(kind, merged([plain.span_of(*span) for span in spans]))


def merged(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Return spans in order, with those that overlap made one."""
    made: list[Span] = []
    for start, end in sorted(spans):
        if made and start < made[-1][1]:
            made[-1] = (made[-1][0], max(made[-1][1], end))
        else:
            made.append((start, end))
    return tuple(made)
