"""Every planted fault of the demo scenario that a visit can show is caught by its own check.

The faults and their kinds: design of the demo ("Planted faults"); values are invented.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from surveys.checks.policy import decide
from surveys.checks.registry import run_programme
from surveys.visits.facts import Surroundings, VisitFacts
from tests.surveys.checks.visits import (
    MEETING_POINT,
    around,
    drench,
    faults,
    hand_sort,
    kit,
    not_poured,
    pit,
    visit,
)

AUTUMN = {"protocol": kit("contrast-pit/1"), "received_on": date(2024, 10, 9)}
SCHOOL = {"protocol": kit("school-pit/1"), "received_on": date(2024, 10, 9)}


def autumn(ref: str, **changes: object) -> VisitFacts:
    return visit(client_ref=ref, visited_on=date(2024, 10, 8), **changes)


def spring(ref: str, **changes: object) -> VisitFacts:
    return visit(client_ref=ref, **changes)


ZERO_PIT = pit(1, phases=(hand_sort(0, 0, 0, 0), drench(0, 0, 0, 0)))
SCHOOL_ZERO = pit(1, phases=(hand_sort(0, 0, 0, 0), not_poured()), sorted_to_end=None)
BLANK_PIT = pit(1, phases=(hand_sort(None, None, None, None), not_poured()))
OTHER_PIT = pit(2)

# visit, what is known around it, the label that must speak, what follows
PLANTED: list[tuple[VisitFacts, Surroundings, str, str]] = [
    (
        autumn("OPL-A03", latitude=Decimal("-0.48231"), longitude=Decimal("52.70123")),
        around(**AUTUMN, meeting_point=None),
        "AMENDMENT_POSITION_TRANSPOSED",
        "propose",
    ),
    (
        autumn("OPL-A03", latitude=Decimal("-0.48231"), longitude=Decimal("52.70123")),
        around(**AUTUMN),
        "VALIDATION_SITE_IN_REGION",
        "hold",
    ),
    (
        spring("QVD-S05", longitude=Decimal("0.72345")),
        around(),
        "AMENDMENT_POSITION_SIGN",
        "propose",
    ),
    (
        autumn("BSC-A02", latitude=Decimal(0), longitude=Decimal(0)),
        around(**SCHOOL),
        "VALIDATION_POSITION_NOT_PLACEHOLDER",
        "hold",
    ),
    (
        autumn("VFR-A09", latitude=Decimal("52.7"), longitude=Decimal("-0.8")),
        around(**AUTUMN),
        "VALIDATION_POSITION_ACCURACY",
        "hold",
    ),
    (
        spring("OPL-S14", latitude=MEETING_POINT[0], longitude=MEETING_POINT[1]),
        around(others_at_position=3),
        "VALIDATION_POSITION_NOT_PLACEHOLDER",
        "hold",
    ),
    (
        spring("OPL-S14-shared", latitude=MEETING_POINT[0], longitude=MEETING_POINT[1]),
        around(meeting_point=None, others_at_position=3),
        "VALIDATION_POSITION_NOT_PLACEHOLDER",
        "hold",
    ),
    (
        spring("VFR-S02", visited_on=date(2052, 4, 12)),
        around(),
        "VALIDATION_VISITDATE_WINDOW",
        "block",
    ),
    (
        spring("QVD-S09", visited_on=date(2025, 8, 5)),
        around(received_on=date(2025, 5, 9)),
        "AMENDMENT_VISITDATE_TRANSPOSED",
        "propose",
    ),
    (
        spring("QVD-S09-late", visited_on=date(2025, 3, 4)),
        around(received_on=date(2025, 4, 5)),
        "AMENDMENT_VISITDATE_TRANSPOSED",
        "propose",
    ),
    (
        visit(client_ref="OPL-A15", visited_on=date(2024, 8, 25)),
        around(**AUTUMN),
        "VALIDATION_VISITDATE_WINDOW",
        "block",
    ),
    (
        spring("OPL-S20"),
        around(received_on=date(2025, 7, 11)),
        "VALIDATION_SUBMISSION_TIMELY",
        "note",
    ),
    (
        spring("VFR-S06", pits=(pit(1, phases=(hand_sort(0, 0, 0, 450),)), OTHER_PIT)),
        around(),
        "VALIDATION_COUNTS_LIKELY",
        "hold",
    ),
    (
        spring("OPL-S07", pits=(pit(1, total=11), OTHER_PIT)),
        around(),
        "VALIDATION_COUNTS_SUMCONSISTENT",
        "hold",
    ),
    (
        spring("QVD-S12", pits=(pit(1, depth_cm=Decimal(2000)), OTHER_PIT)),
        around(),
        "VALIDATION_PITSIZE_PLAUSIBLE",
        "block",
    ),
    (
        autumn("QVD-A08", pits=(BLANK_PIT, OTHER_PIT)),
        around(**AUTUMN),
        "VALIDATION_COUNTS_NOTEMPTY",
        "hold",
    ),
    (
        autumn("BSC-A04", pits=(SCHOOL_ZERO, OTHER_PIT)),
        around(**SCHOOL),
        "VALIDATION_ZEROPIT_CONFIRMED",
        "hold",
    ),
    (
        autumn("QVD-A11"),
        around(**AUTUMN, twins=("QVD-A11-b",)),
        "ISSUE_POSSIBLE_DUPLICATE",
        "hold",
    ),
    (
        autumn("OPL-A07", note="Ring me on 07700 900 123 before you come."),
        around(**AUTUMN),
        "ISSUE_PERSONAL_DATA_IN_TEXT",
        "hold",
    ),
    (
        spring("BSC-S03", note="tamsin's team found the longest one."),
        around(protocol=kit("school-pit/1")),
        "ISSUE_PERSONAL_DATA_IN_TEXT",
        "hold",
    ),
    (
        spring("VFR-S11", note="Dug in Hangman's Piece, next to the drain."),
        around(),
        "ISSUE_PLACE_NAME_IN_TEXT",
        "hold",
    ),
    (
        spring("OPL-S09", note="wet \N{BUG} \u05e8\u05d8\u05d5\u05d1\x00"),
        around(),
        "VALIDATION_TEXT_STORABLE",
        "block",
    ),
    (autumn("VFR-A15", note="=1+1"), around(**AUTUMN), "ISSUE_TEXT_FORMULA", "note"),
]


@pytest.mark.parametrize(
    ("sent", "known", "label", "action"),
    PLANTED,
    ids=[f"{sent.client_ref}-{label}" for sent, _, label, _ in PLANTED],
)
def test_planted_fault_is_caught_by_its_check(
    sent: VisitFacts, known: Surroundings, label: str, action: str
) -> None:
    findings = run_programme(sent, known)
    spoken = {decide(one) for one in findings if one.label == label} - {"pass"}

    assert spoken == {action}


def test_sound_visit_passes_every_check() -> None:
    findings = run_programme(visit(), around())

    assert faults(findings) == {}
    assert {decide(finding) for finding in findings} == {"pass"}


def test_confirmed_zero_pits_pass() -> None:
    zeros = (ZERO_PIT, replace(ZERO_PIT, number=2, habitat="hedge"))

    findings = run_programme(autumn("VFR-A04", pits=zeros), around(**AUTUMN))

    assert faults(findings) == {}


def test_emoji_and_right_to_left_text_pass() -> None:
    note = "wet \N{BUG} \u05e8\u05d8\u05d5\u05d1"

    assert faults(run_programme(visit(note=note), around())) == {}


def test_count_of_450_is_held_with_the_usual_range_named() -> None:
    sent = visit(pits=(pit(1, phases=(hand_sort(0, 0, 0, 450),)), OTHER_PIT))

    response = faults(run_programme(sent, around()))["VALIDATION_COUNTS_LIKELY"]

    assert response.code == "count-beyond-belief"
    assert "450 animals are 11250 per m2; usual are 0 to 40" in response.comment
    assert response.pointer == "/pits/0"


def test_comments_tell_no_place_name_or_note() -> None:
    for sent, known, _, _ in PLANTED:
        private = [str(abs(axis)) for axis in (sent.latitude, sent.longitude) if axis]
        private += [word for name in known.roster_names for word in name.split()]
        private += [sent.note, sent.participant_code, "Hangman", "900 123"]
        for response in faults(run_programme(sent, known)).values():
            told = " ".join((response.comment, *response.arguments.values()))
            assert not any(word in told for word in private), told


def test_every_finding_teaches_something() -> None:
    for sent, known, _, _ in PLANTED:
        for response in faults(run_programme(sent, known)).values():
            assert response.code
            assert len(response.comment) > 40
            assert response.comment[-1] in ".)"
