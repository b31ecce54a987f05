"""Reason codes of decisions, with the texts that teach the sender.

Each says what was seen and what to do now, why it matters, and what to do next time.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Reason:
    """A reason: for which decisions, and what to tell the sender."""

    code: str
    decisions: frozenset[str]
    text: str
    why: str
    next_time: str


def _reason(code: str, decisions: str, text: str, why: str, next_time: str) -> Reason:
    return Reason(code, frozenset(decisions.split()), text, why, next_time)


REASONS: dict[str, Reason] = {
    reason.code: reason
    for reason in (
        _reason(
            "colour-shows-group",
            "accepted_with_change",
            "The body colour in the evidence shows another group: pale animals without red-brown "
            "pigment are soil-feeding, pigmented ones are not.",
            "The groups live and feed in different layers of the soil; one taken for another "
            "changes what the pit says of its soil.",
            "Rinse the animal and look at the back just behind the head, in daylight on a white "
            "tray.",
        ),
        _reason(
            "length-shows-group",
            "accepted_with_change",
            "The length in the evidence shows another group. The 150 mm rule is common practice "
            "only, and some deep-burrowing species stay shorter.",
            "Long animals weigh as much as many small ones, so a few of them in the wrong group "
            "change the picture.",
            "Measure the animal at rest beside a ruler, and look at its colour as well.",
        ),
        _reason(
            "saddle-shows-stage",
            "accepted_with_change",
            "The saddle decides the stage: an animal with one is adult, one without it is not.",
            "Most kits name the group of adults only; a young animal counted as an adult adds to "
            "a group that nobody could tell.",
            "Turn the animal over: the saddle is a swollen ring in the front third of the body.",
        ),
        _reason(
            "number-agreed-with-sender",
            "accepted_with_change",
            "The number was corrected after asking you.",
            "Your first number stays beside the new one, so that everybody can see what changed.",
            "Read the form once more before you send it: each line, then the sum.",
        ),
        _reason(
            "check-position",
            "asked_back",
            "The position does not fit the place. Please look it up on a map and correct it.",
            "A pit at a wrong place is compared with the wrong soil and weather. What is published "
            "stays coarse; the exact place is for checking only.",
            "Take the position at the pit, and wait until the device says that it is good to a few "
            "metres.",
        ),
        _reason(
            "check-date",
            "asked_back",
            "The date does not fit. Please compare it with your form and correct it.",
            "Animals go deeper in dry and cold weeks, so pits are only compared within a season.",
            "Write the day of digging on the form at the pit, not the day of typing.",
        ),
        _reason(
            "check-number",
            "asked_back",
            "A number is far from what such pits usually hold, or does not add up. Please compare "
            "it with your form: correct it, or write in the note that it is right.",
            "Unusual numbers are wanted, if they are right: one slip of the pen can outweigh a "
            "whole village.",
            "Tally in fives, add the lines up, and compare the sum with the animals in the tray.",
        ),
        _reason(
            "confirm-empty",
            "asked_back",
            "All counts are zero or blank. Please say whether the soil was sorted to the end; "
            "only then does the zero count.",
            "An empty pit that was searched is as good a find as a full one; a blank form says "
            "nothing.",
            "Write 0 where you looked and found none, leave blank what you did not look for, and "
            "say whether you sorted to the end.",
        ),
        _reason(
            "remove-personal-data",
            "asked_back",
            "The note says something about a person or a place that must stay private. Please "
            "send the visit without it.",
            "Notes can be published; a name, a house or a telephone number leads to somebody's "
            "garden.",
            "Write of soil, weather and animals only; use the codes of your group for people.",
        ),
        _reason(
            "show-evidence",
            "asked_back",
            "Please tell us which character you used for the group (colour, length, saddle).",
            "Without a character nobody else can judge the group, and the record can't be used for "
            "questions about groups.",
            "Note the character beside the line, or take a photo with a ruler in it.",
        ),
        _reason(
            "not-sorted",
            "declined",
            "The soil was not sorted to the end, so the counts cannot be compared with others.",
            "Half-sorted soil gives half the animals; beside whole pits it would look like a poor "
            "soil.",
            "Plan about an hour a pit, or dig one pit less and finish it.",
        ),
        _reason(
            "double",
            "declined",
            "This visit was sent twice; the other record is kept.",
            "Counted twice, one pit weighs as much as two.",
            "Agree on who sends a pit that you dug together.",
        ),
        _reason(
            "not-mended",
            "declined",
            "We asked for a correction and could not get one. You may appeal or send the visit "
            "again.",
            "What stays in doubt is not published, so that those who use the data can trust it.",
            "Answer when we ask, even if only to say that the number is right.",
        ),
    )
}
