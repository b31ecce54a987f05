"""Decisions on a visit: who may, with which reason, and what becomes of it."""

import json
from datetime import timedelta
from itertools import product
from typing import Any

import pytest
from django.apps import apps

from surveys.audit.models import AuditEntry
from surveys.intake.corrections import correct
from surveys.moderation.models import Appeal, Review
from surveys.moderation.operations import (
    Change,
    appeal,
    approve_note,
    review,
)
from surveys.moderation.reasons import REASONS
from surveys.moderation.refusals import NotAllowed, NotDecidable, StaleDecision
from surveys.moderation.versions import version_of
from surveys.people.models import Group, Participant, Reviewer
from surveys.visits.models import Count, Determination, Visit
from tests.factories.private import (
    NOW,
    ParticipantFactory,
    ReviewerFactory,
    counts_payload,
    put,
    sending_group,
    stored_visit,
    visit_payload,
)

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(days=1)
FEWER = Change(pit=1, phase="hand_sort", group="endogeic", stage="adult", number=2)
# A reason for each decision, and the state of the visit after it.
WAYS = {
    "accepted": ("", "accepted"),
    "accepted_with_change": ("saddle-shows-stage", "accepted"),
    "asked_back": ("check-number", "asked_back"),
    "declined": ("not-sorted", "declined"),
}
FITTING = [
    ("accepted", ""),
    *(
        (decision, code)
        for code, reason in REASONS.items()
        for decision in sorted(reason.decisions)
    ),
]
UNFITTING = [pair for pair in product(WAYS, ("", "because", *REASONS)) if pair not in FITTING]


@pytest.fixture
def group() -> Group:
    return sending_group()


@pytest.fixture
def visit(group: Group) -> Visit:
    return stored_visit(group)


@pytest.fixture
def reviewer() -> Reviewer:
    made: Reviewer = ReviewerFactory.create(code="R-1")
    return made


def decide(visit: Visit, reviewer: Reviewer, decision: str = "accepted", **more: Any) -> Review:
    usual: dict[str, Any] = {
        "reason_code": WAYS[decision][0],
        "changes": [FEWER] if decision == "accepted_with_change" else [],
        "seen": version_of(visit),
        "at": LATER,
    }
    return review(visit=visit, reviewer=reviewer, decision=decision, **usual | more)


def state_of(visit: Visit) -> str:
    return Visit.objects.get(pk=visit.pk).state


def corrected(visit: Visit, note: str = "Corrected.") -> None:
    payload = visit_payload(note=note)
    body = json.dumps(payload).encode()
    facts: dict[str, Any] = {"group": visit.group, "token_name": "laptop", "body": body}
    correct(visit=visit, raw=payload, revision=visit.revision, at=LATER, **facts)


def row_counts() -> dict[str, int]:
    tables = apps.get_app_config("surveys").get_models()
    return {model.__name__: model._default_manager.count() for model in tables}


@pytest.mark.parametrize("decision", WAYS)
@pytest.mark.parametrize("before", ["in_review", "asked_back"])
def test_decision_is_kept_and_moves_an_open_visit(
    visit: Visit, reviewer: Reviewer, decision: str, before: str
) -> None:
    Visit.objects.update(state=before)

    decide(visit, reviewer, decision, message="Please look again.")

    made = Review.objects.get()
    reason, after = WAYS[decision]
    assert state_of(visit) == after
    assert (made.visit, made.revision, made.reviewer) == (visit, 1, reviewer)
    assert (made.decision, made.reason_code) == (decision, reason)
    assert (made.message, made.decided_at) == ("Please look again.", LATER)


@pytest.mark.parametrize("decision", WAYS)
@pytest.mark.parametrize("before", ["accepted", "declined", "withdrawn"])
def test_closed_visit_is_not_decided_again(
    visit: Visit, reviewer: Reviewer, decision: str, before: str
) -> None:
    Visit.objects.update(state=before)
    rows = row_counts()

    with pytest.raises(StaleDecision) as refusal:
        decide(visit, reviewer, decision)

    assert (refusal.value.current, refusal.value.state) == (1, before)
    assert (state_of(visit), row_counts()) == (before, rows)


@pytest.mark.parametrize("version", [0, 1, 3])
def test_decision_on_another_version_is_stale(
    visit: Visit, reviewer: Reviewer, version: int
) -> None:
    corrected(visit)

    with pytest.raises(StaleDecision) as refusal:
        decide(visit, reviewer, seen=version)

    assert (refusal.value.current, refusal.value.state) == (2, "in_review")
    assert not Review.objects.exists()


def test_trail_notes_the_decision_without_its_message(visit: Visit, reviewer: Reviewer) -> None:
    decide(visit, reviewer, "declined", message="Dear Tamsin")

    entry = AuditEntry.objects.latest("id")
    assert (entry.actor, entry.action) == ("reviewer R-1", "visit declined")
    assert (entry.subject_key, entry.at) == ("QVD/QVD-S01", LATER)
    assert entry.detail == {"revision": 1, "reason": "not-sorted"}


def test_unknown_decision_is_no_decision(visit: Visit, reviewer: Reviewer) -> None:
    with pytest.raises(ValueError, match="'published' is not a valid Decision"):
        review(visit=visit, reviewer=reviewer, decision="published", seen=1, at=LATER)

    assert state_of(visit) == "in_review"


@pytest.mark.parametrize(("decision", "reason_code"), FITTING)
def test_reason_of_its_decision_is_taken(
    visit: Visit, reviewer: Reviewer, decision: str, reason_code: str
) -> None:
    made = decide(visit, reviewer, decision, reason_code=reason_code)

    assert (made.decision, made.reason_code) == (decision, reason_code)


@pytest.mark.parametrize(("decision", "reason_code"), UNFITTING)
def test_reason_of_another_decision_is_refused(
    visit: Visit, reviewer: Reviewer, decision: str, reason_code: str
) -> None:
    with pytest.raises(NotDecidable, match=f"^The decision {decision} takes one of these reasons"):
        decide(visit, reviewer, decision, reason_code=reason_code)

    assert state_of(visit) == "in_review"
    assert not Review.objects.exists()


def test_refusal_of_a_reason_lists_those_that_fit(visit: Visit, reviewer: Reviewer) -> None:
    with pytest.raises(NotDecidable, match=r"reasons: double, not-mended, not-sorted\.$"):
        decide(visit, reviewer, "declined", reason_code="check-date")
    with pytest.raises(NotDecidable, match=r"reasons: none\.$"):
        decide(visit, reviewer, "accepted", reason_code="check-date")


@pytest.mark.parametrize(
    ("decision", "changes"),
    [
        ("accepted_with_change", []),
        ("accepted", [FEWER]),
        ("asked_back", [FEWER]),
        ("declined", [FEWER]),
    ],
)
def test_changes_belong_to_acceptance_with_change_alone(
    visit: Visit, reviewer: Reviewer, decision: str, changes: list[Change]
) -> None:
    with pytest.raises(NotDecidable, match="needs at least one change"):
        decide(visit, reviewer, decision, changes=changes)

    assert state_of(visit) == "in_review"
    assert not Determination.objects.exists()


def line(visit: Visit, change: Change = FEWER) -> Count:
    return Count.objects.get(
        phase__pit__in=visit.current_pits(),
        phase__pit__number=change.pit,
        phase__kind=change.phase,
        group=change.group,
        stage=change.stage,
    )


def test_change_is_a_determination_beside_what_the_recorder_wrote(
    visit: Visit, reviewer: Reviewer
) -> None:
    more = Change(pit=1, phase="hand_sort", group="unassigned", stage="juvenile", number=5)

    decide(visit, reviewer, "accepted_with_change", changes=[FEWER, more])

    made = Determination.objects.order_by("id").values_list("count", "sequence", "number")
    assert list(made) == [(line(visit).pk, 1, 2), (line(visit, more).pk, 1, 5)]
    assert (line(visit).number, line(visit, more).number) == (3, 4)
    told = Determination.objects.values_list("determined_by", "determined_at", "reason_code")
    assert set(told) == {(reviewer.pk, LATER, "saddle-shows-stage")}


def test_later_change_of_one_line_is_added_to_its_history(visit: Visit, reviewer: Reviewer) -> None:
    decide(visit, reviewer, "accepted_with_change", changes=[FEWER])
    appeal(visit=visit, text="There were three.", at=LATER)
    none_left = Change(pit=1, phase="hand_sort", group="endogeic", stage="adult", number=0)

    decide(visit, ReviewerFactory.create(), "accepted_with_change", changes=[none_left])

    history = line(visit).determinations.values_list("sequence", "number")
    assert list(history) == [(1, 2), (2, 0)]
    assert line(visit).number == 3


@pytest.mark.parametrize(
    "wrong",
    [
        {"pit": 3},
        {"phase": "electric_shock"},
        {"group": "swimming"},
        {"stage": "juvenile"},
        {"taxon": "Lumbricus rubellus"},
        {"pit": 2, "group": "anecic"},
        {"pit": 2, "phase": "expellant"},
        {"pit": 2, "group": "unassigned", "stage": "juvenile"},
    ],
    ids=["pit", "step", "group", "stage", "taxon", "not looked for", "step not done", "blank"],
)
def test_change_of_what_was_not_counted_is_refused_with_all_others(
    group: Group, reviewer: Reviewer, wrong: dict[str, Any]
) -> None:
    payload = put(visit_payload(), "/pits/1/phases/1", {"kind": "expellant", "done": False})
    lines = counts_payload(1, 3, "not_looked_for", None)
    visit = stored_visit(group, put(payload, "/pits/1/phases/0/counts", lines))
    change = Change(**vars(FEWER) | wrong)

    with pytest.raises(NotDecidable, match=f"^Pit {change.pit}, {change.phase}, .* not counted"):
        decide(visit, reviewer, "accepted_with_change", changes=[FEWER, change])

    assert state_of(visit) == "in_review"
    assert not Review.objects.exists()
    assert not Determination.objects.exists()


def test_change_is_of_the_corrected_line_not_of_the_one_before(
    visit: Visit, reviewer: Reviewer
) -> None:
    corrected(visit)
    visit.refresh_from_db()

    decide(visit, reviewer, "accepted_with_change")

    assert Determination.objects.get().count.phase.pit.revision == 2


def relation(visit: Visit, kind: str) -> Participant:
    """Return the recorder, somebody of the household, or a neighbour."""
    own = visit.participant
    household = own.household if kind == "household" else "elsewhere"
    made: Participant = ParticipantFactory.create(group=own.group, household=household)
    return own if kind == "recorder" else made


@pytest.mark.parametrize("decision", WAYS)
@pytest.mark.parametrize("kind", ["recorder", "household"])
def test_nobody_decides_on_their_own_record_or_their_households(
    visit: Visit, decision: str, kind: str
) -> None:
    reviewer = ReviewerFactory.create(participant=relation(visit, kind))

    with pytest.raises(NotAllowed, match=r"^Nobody reviews their own record"):
        decide(visit, reviewer, decision)

    assert state_of(visit) == "in_review"
    assert not Review.objects.exists()


def test_neighbour_may_decide(visit: Visit) -> None:
    reviewer = ReviewerFactory.create(participant=relation(visit, "neighbour"))

    assert decide(visit, reviewer).decision == "accepted"


def test_reviewer_who_left_may_not_decide(visit: Visit) -> None:
    with pytest.raises(NotAllowed):
        decide(visit, ReviewerFactory.create(active=False))


@pytest.mark.parametrize("decision", ["accepted", "declined"])
def test_appeal_reopens_a_decided_visit(visit: Visit, reviewer: Reviewer, decision: str) -> None:
    against = decide(visit, reviewer, decision)

    appeal(visit=visit, text="The soil was sorted to the end.", at=LATER)

    made = Appeal.objects.get()
    assert state_of(visit) == "in_review"
    assert (made.visit, made.against, made.raised_at) == (visit, against, LATER)
    assert made.text == "The soil was sorted to the end."
    entry = AuditEntry.objects.latest("id")
    assert (entry.actor, entry.action) == ("group QVD", "decision appealed")
    assert (entry.subject_key, entry.detail) == ("QVD/QVD-S01", {})


def test_appeal_excludes_the_reviewer_whose_decision_it_is_against(
    visit: Visit, reviewer: Reviewer
) -> None:
    decide(visit, reviewer, "declined")
    appeal(visit=visit, text="Please.", at=LATER)

    with pytest.raises(NotAllowed, match=r"^An appeal goes to another reviewer"):
        decide(visit, reviewer)

    assert decide(visit, ReviewerFactory.create()).decision == "accepted"


def test_reviewer_stays_out_after_a_correction_and_a_second_appeal(
    visit: Visit, reviewer: Reviewer
) -> None:
    second = ReviewerFactory.create()
    for judge in (reviewer, second):
        visit.refresh_from_db()
        decide(visit, judge, "declined")
        appeal(visit=visit, text="Please.", at=LATER)
        corrected(visit)
    visit.refresh_from_db()

    for judge in (reviewer, second):
        with pytest.raises(NotAllowed):
            decide(visit, judge)
    assert decide(visit, ReviewerFactory.create()).revision == 3


@pytest.mark.parametrize("state", ["in_review", "asked_back", "withdrawn"])
def test_only_a_decided_visit_is_appealed(visit: Visit, reviewer: Reviewer, state: str) -> None:
    decide(visit, reviewer)
    Visit.objects.update(state=state)

    with pytest.raises(NotDecidable, match=r"^Only an accepted or declined visit"):
        appeal(visit=visit, text="Please.", at=LATER)

    assert state_of(visit) == state
    assert not Appeal.objects.exists()


def test_visit_without_a_decision_is_not_appealed(visit: Visit) -> None:
    Visit.objects.update(state="accepted")

    with pytest.raises(NotDecidable):
        appeal(visit=visit, text="Please.", at=LATER)


def test_one_decision_is_appealed_once(visit: Visit, reviewer: Reviewer) -> None:
    decide(visit, reviewer)
    appeal(visit=visit, text="Please.", at=LATER)
    Visit.objects.update(state="accepted")

    with pytest.raises(NotDecidable, match="appealed before"):
        appeal(visit=visit, text="Please!", at=LATER)

    assert Appeal.objects.count() == 1


def test_note_is_shown_only_once_a_reviewer_approved_it(visit: Visit, reviewer: Reviewer) -> None:
    assert visit.note_approved is False

    approve_note(visit=visit, reviewer=reviewer, at=LATER)

    visit.refresh_from_db()
    assert (visit.note_approved, visit.state) == (True, "in_review")
    entry = AuditEntry.objects.latest("id")
    assert (entry.actor, entry.action, entry.at) == ("reviewer R-1", "note approved", LATER)


@pytest.mark.parametrize("kind", ["recorder", "household"])
def test_nobody_approves_a_note_of_their_own_or_their_household(visit: Visit, kind: str) -> None:
    reviewer = ReviewerFactory.create(participant=relation(visit, kind))

    with pytest.raises(NotAllowed):
        approve_note(visit=visit, reviewer=reviewer, at=LATER)

    assert not Visit.objects.get().note_approved


def test_note_that_was_sent_after_the_reviewer_read_is_not_approved(
    visit: Visit, reviewer: Reviewer
) -> None:
    corrected(visit, note="Ask Tamsin Oddwell for the key.")

    with pytest.raises(StaleDecision) as refusal:
        approve_note(visit=visit, reviewer=reviewer, at=LATER)

    assert refusal.value.current == 2
    assert not Visit.objects.get().note_approved


def test_approval_of_a_note_touches_nothing_else(visit: Visit, reviewer: Reviewer) -> None:
    Visit.objects.update(state="withdrawn")

    approve_note(visit=visit, reviewer=reviewer, at=LATER)

    assert state_of(visit) == "withdrawn"
