"""Reason codes of decisions, with the text that the sender reads."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Reason:
    """A reason: for which decisions, and what to tell the sender."""

    code: str
    decisions: frozenset[str]
    text: str


def _reason(code: str, decisions: str, text: str) -> Reason:
    return Reason(code, frozenset(decisions.split()), text)


REASONS: dict[str, Reason] = {
    reason.code: reason
    for reason in (
        _reason(
            "colour-shows-group",
            "accepted_with_change",
            "The body colour in the evidence shows another group: pale animals without red-brown "
            "pigment are soil-feeding, pigmented ones are not.",
        ),
        _reason(
            "length-shows-group",
            "accepted_with_change",
            "The length in the evidence shows another group. The 150 mm rule is common practice "
            "only, and some deep-burrowing species stay shorter.",
        ),
        _reason(
            "saddle-shows-stage",
            "accepted_with_change",
            "The saddle decides the stage: an animal with one is adult, one without it is not.",
        ),
        _reason(
            "number-agreed-with-sender",
            "accepted_with_change",
            "The number was corrected after asking you.",
        ),
        _reason(
            "check-position",
            "asked_back",
            "The position does not fit the place. Please look it up on a map and correct it.",
        ),
        _reason(
            "check-date",
            "asked_back",
            "The date does not fit. Please compare it with your form and correct it.",
        ),
        _reason(
            "check-number",
            "asked_back",
            "A number is far from what such pits usually hold, or does not add up. Please compare "
            "it with your form: correct it, or write in the note that it is right.",
        ),
        _reason(
            "confirm-empty",
            "asked_back",
            "All counts are zero or blank. Please say whether the soil was sorted to the end; "
            "only then does the zero count.",
        ),
        _reason(
            "remove-personal-data",
            "asked_back",
            "The note says something about a person or a place that must stay private. Please "
            "send the visit without it.",
        ),
        _reason(
            "show-evidence",
            "asked_back",
            "Please tell us which character you used for the group (colour, length, saddle).",
        ),
        _reason(
            "not-sorted",
            "declined",
            "The soil was not sorted to the end, so the counts cannot be compared with others.",
        ),
        _reason(
            "double",
            "declined",
            "This visit was sent twice; the other record is kept.",
        ),
        _reason(
            "not-mended",
            "declined",
            "We asked for a correction and could not get one. You may appeal or send the visit "
            "again.",
        ),
    )
}
