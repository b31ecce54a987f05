"""A visit's note as its reviewer reads it, and letting it be published."""

import pytest

from surveys.people.models import Group
from surveys.visits.models import Visit
from tests.api.holders import holder_of, partner, sent_visit, visit_of
from tests.api.review.test_photos import reviewer
from tests.factories.private import ParticipantFactory, ReviewerFactory
from tests.journeys.actors import Actor

NOTE = "/api/v1/review/visits/QVD/QVD-S01/note"
APPROVAL = f"{NOTE}/approval"
TEXT = "Damp. Ring \uff10\uff11\uff16\uff13\uff12 960417, please."

__all__ = ["reviewer"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def group(db: None) -> Group:  # noqa: ARG001 -- the database is needed
    """Return a group that sent one visit with a telephone number in its note."""
    made, caller = partner()
    sent_visit(caller, visit_of(1, note=TEXT))
    return made


@pytest.mark.usefixtures("group")
def test_note_is_shown_with_where_it_betrays_somebody(reviewer: Actor) -> None:
    note = reviewer.get(NOTE).json()

    assert (note["note"], note["revision"], note["is_approved"]) == (TEXT, 1, False)
    (question,) = note["open_questions"]
    start, end = map(int, question["spans"].split("-"))
    assert TEXT[start:end] == "\uff10\uff11\uff16\uff13\uff12 960417"
    assert "960417" not in question["comment"]


@pytest.mark.usefixtures("group")
def test_note_is_approved_for_the_revision_that_was_read(reviewer: Actor) -> None:
    answer = reviewer.post(APPROVAL, {"revision": 1})

    assert (answer.status_code, answer.json()["is_approved"]) == (200, True)
    assert Visit.objects.get().note_approved


def test_note_that_was_changed_meanwhile_is_not_approved(group: Group, reviewer: Actor) -> None:
    sender = holder_of(group, "read", "submit")
    corrected = visit_of(1, note="Damp.")
    sender.put("/api/v1/partner/visits/QVD-S01", corrected, **{"If-Match": '"revision-1"'})

    answer = reviewer.post(APPROVAL, {"revision": 1})

    assert (answer.status_code, answer.json()["current"]) == (412, 2)
    assert not Visit.objects.get().note_approved


def test_edited_note_loses_its_approval(group: Group, reviewer: Actor) -> None:
    reviewer.post(APPROVAL, {"revision": 1})
    sender = holder_of(group, "read", "submit")

    sender.put(
        "/api/v1/partner/visits/QVD-S01", visit_of(1, note="Wet."), **{"If-Match": '"revision-1"'}
    )

    note = reviewer.get(NOTE).json()
    assert (note["note"], note["revision"], note["is_approved"]) == ("Wet.", 2, False)


@pytest.mark.usefixtures("group")
@pytest.mark.parametrize("body", [{}, {"revision": 0}, {"revision": 1, "note": "other"}])
def test_approval_of_another_shape_is_refused(reviewer: Actor, body: dict[str, object]) -> None:
    assert reviewer.post(APPROVAL, body).status_code == 422


@pytest.mark.usefixtures("group")
def test_unknown_visits_and_parameters_are_refused(reviewer: Actor) -> None:
    assert reviewer.get(NOTE.replace("S01", "S02")).status_code == 404
    assert reviewer.post(APPROVAL.replace("QVD/", "XXX/"), {"revision": 1}).status_code == 404
    assert reviewer.get(f"{NOTE}?full=1").status_code == 400


def test_note_of_the_own_household_is_not_for_this_reviewer(group: Group) -> None:
    recorder = group.participants.get(code="QVD-07")
    relative = ParticipantFactory.create(group=group, household=recorder.household)
    own = holder_of(ReviewerFactory.create(participant=relative), "review")

    assert own.get(NOTE).status_code == 403
    assert own.post(APPROVAL, {"revision": 1}).status_code == 403
