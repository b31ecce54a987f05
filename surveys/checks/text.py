"""Checks of free texts: storable, without personal data, harmless in a spreadsheet."""

import re
import unicodedata
from collections.abc import Iterator, Sequence

from surveys.checks.personal_text import Span, personal_data_in
from surveys.checks.place_names import named_places
from surveys.checks.registry import check
from surveys.checks.response import (
    Response,
    compliant,
    no_issue,
    not_compliant,
    potential_issue,
)
from surveys.visits.facts import Surroundings, VisitFacts

ALLOWED_CONTROLS = "\t\n\r"
FORMULA = re.compile(
    r"\s*(?:=\s*[\w(\"'+\-{]|@\s*[A-Za-z]+\s*\(|[+-]\s*[A-Za-z]+[\w.]*\s*\(|[+-]\s*\d+\s*[-+*/^]\s*\d)"
)


def texts(visit: VisitFacts) -> Iterator[tuple[str, str]]:
    """Yield pointer and text of everything a sender may have typed freely."""
    yield "/client_ref", visit.client_ref
    yield "/note", visit.note
    for place, pit in enumerate(visit.pits):
        yield from ((f"/pits/{place}/phases", phase.agent) for phase in pit.phases)
        yield from ((f"/pits/{place}/phases", count.taxon) for count in pit.counts())
        yield from ((f"/pits/{place}/soil/{soil.name}", soil.value) for soil in pit.soil)


def free_texts(visit: VisitFacts) -> Iterator[tuple[str, str]]:
    """Yield pointer and text of what may go out with a record; a reference never does."""
    return ((place, text) for place, text in texts(visit) if text and place != "/client_ref")


@check(label="VALIDATION_TEXT_STORABLE", version="2025-07-01")
def storable(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find characters that can be neither shown nor stored; emoji and any script are fine."""
    faults = [
        not_compliant(
            "text-control-character",
            "The text holds a character that cannot be shown or stored ({received}). Remove "
            "it; such characters often come from copying.",
            pointer,
            received=", ".join(odd),
        )
        for pointer, text in texts(visit)
        if (odd := odd_characters(text))
    ]
    return faults or [compliant("Every text can be shown and stored.")]


def odd_characters(text: str) -> list[str]:
    """Return the code points of control characters and halves of characters."""
    odd = {
        char
        for char in text
        if unicodedata.category(char) in {"Cc", "Cs"} and char not in ALLOWED_CONTROLS
    }
    return sorted(f"U+{ord(char):04X}" for char in odd)


@check(label="ISSUE_PERSONAL_DATA_IN_TEXT", version="2026-11-25")
def personal_data(visit: VisitFacts, around: Surroundings) -> list[Response]:
    """Find what may betray a person in a free text; the comment never repeats it."""
    found = [
        potential_issue(
            "text-personal",
            "The text seems to hold a {kind}. Please send it again without; it is kept private "
            "and no note is published unless a reviewer approves it.",
            pointer,
            kind=one.kind,
            spans=written(one.spans),
        )
        for pointer, text in free_texts(visit)
        for one in personal_data_in(text, around.roster_names, around.known_codes)
    ]
    return found or [no_issue("The texts show no personal data.")]


@check(label="ISSUE_PLACE_NAME_IN_TEXT", version="2026-11-25")
def place_name(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find the name of a farm, field or school in a free text, which undoes the blurring."""
    found = [
        potential_issue(
            "text-place-name",
            "The text seems to name a farm, field, house or school, which would give the place "
            "away. Describe the ground instead (such as 'the grazed field by the stream').",
            pointer,
            spans=written(spans),
        )
        for pointer, text in free_texts(visit)
        if (spans := tuple(named_places(text)))
    ]
    return found or [no_issue("The texts name no farm, field, house or school.")]


def written(spans: Sequence[Span]) -> str:
    """Return spans as text, such as "5-13 20-24": first character and the one after it."""
    return " ".join(f"{start}-{end}" for start, end in spans)


@check(label="ISSUE_TEXT_FORMULA", version="2025-07-01")
def formula(visit: VisitFacts, _: Surroundings) -> list[Response]:
    """Find texts that a spreadsheet would run."""
    found = [
        potential_issue(
            "text-formula",
            "The text starts like a spreadsheet formula. It is kept as text; files for "
            "spreadsheets mark it so that it cannot run. Start with a word to avoid this.",
            pointer,
        )
        for pointer, text in texts(visit)
        if FORMULA.match(text)
    ]
    return found or [no_issue("No text starts like a spreadsheet formula.")]
