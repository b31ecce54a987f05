"""Rounds with more than one look: what each opinion does to the visit."""

from datetime import timedelta
from typing import Any

import pytest

from surveys.audit.models import AuditEntry
from surveys.intake.queries import visits_of
from surveys.moderation.models import Review
from surveys.moderation.operations import Change, appeal, review
from surveys.moderation.refusals import NotAllowed, NotDecidable
from surveys.moderation.versions import happened_since, version_of
from surveys.people.models import Reviewer
from surveys.visits.models import Determination, Visit
from tests.factories.private import NOW, ReviewerFactory, sending_group, stored_visit

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(days=1)
REASONS = {"declined": "not-sorted", "asked_back": "check-date"}


@pytest.fixture
def visit(settings: Any) -> Visit:
    """Return a visit of those drawn for a second look: all."""
    settings.SECOND_LOOK_SHARE = 1.0
    return stored_visit(sending_group())


@pytest.fixture
def reviewers() -> list[Reviewer]:
    return [ReviewerFactory.create(code=f"R-{number}") for number in range(1, 5)]


def fewer(number: int) -> dict[str, Any]:
    change = Change(pit=1, phase="hand_sort", group="endogeic", stage="adult", number=number)
    return {
        "decision": "accepted_with_change",
        "reason_code": "saddle-shows-stage",
        "changes": [change],
    }


def decide(visit: Visit, by: Reviewer, decision: str = "accepted", **more: Any) -> Review:
    facts = {"decision": decision, "reason_code": REASONS.get(decision, "")} | more
    visit.refresh_from_db()
    return review(visit=visit, reviewer=by, seen=version_of(visit), at=LATER, **facts)


def standings() -> list[tuple[int, int, str]]:
    return list(Review.objects.values_list("round", "look", "standing"))


def test_first_opinion_is_held_and_changes_nothing(visit: Visit, reviewers: list[Reviewer]) -> None:
    decide(visit, reviewers[0], **fewer(2))

    visit.refresh_from_db()
    assert (visit.state, standings()) == ("in_review", [(1, 1, "held")])
    assert not Determination.objects.exists()
    entry = AuditEntry.objects.latest("id")
    assert (entry.action, entry.detail) == ("opinion given", {"look": 1})
    assert not visits_of(visit.group, changed_since=LATER).exists()


def test_two_that_agree_decide_by_the_second(visit: Visit, reviewers: list[Reviewer]) -> None:
    for reviewer in reviewers[:2]:
        decide(visit, reviewer, **fewer(2))

    visit.refresh_from_db()
    assert visit.state == "accepted"
    assert standings() == [(1, 1, "heard"), (1, 2, "deciding")]
    (determination,) = Determination.objects.all()
    assert (determination.number, determination.determined_by) == (2, reviewers[1])


def test_same_decision_with_other_numbers_is_another_opinion(
    visit: Visit, reviewers: list[Reviewer]
) -> None:
    decide(visit, reviewers[0], **fewer(2))
    decide(visit, reviewers[1], **fewer(1))

    visit.refresh_from_db()
    assert visit.state == "in_review"
    assert not Determination.objects.exists()


@pytest.mark.parametrize("third", ["accepted", "declined", "asked_back"])
def test_third_opinion_decides_where_two_differ(
    visit: Visit, reviewers: list[Reviewer], third: str
) -> None:
    for reviewer, decision in zip(reviewers, ("accepted", "declined", third), strict=False):
        decide(visit, reviewer, decision)

    visit.refresh_from_db()
    assert visit.state == third
    assert [standing for *_, standing in standings()] == ["heard", "heard", "deciding"]


def test_nobody_has_two_looks_in_a_round(visit: Visit, reviewers: list[Reviewer]) -> None:
    decide(visit, reviewers[0])

    with pytest.raises(NotAllowed, match="somebody else's"):
        decide(visit, reviewers[0])

    assert Review.objects.count() == 1


def test_change_of_a_line_that_is_not_there_is_refused_at_once(
    visit: Visit, reviewers: list[Reviewer]
) -> None:
    change = Change(pit=9, phase="hand_sort", group="endogeic", stage="adult", number=2)

    with pytest.raises(NotDecidable):
        decide(visit, reviewers[0], **fewer(2) | {"changes": [change]})

    assert not Review.objects.exists()


def test_correction_ends_a_round_undecided(visit: Visit, reviewers: list[Reviewer]) -> None:
    decide(visit, reviewers[0], "declined")
    Visit.objects.update(revision=2)

    decide(visit, reviewers[0])

    assert standings() == [(1, 1, "held"), (2, 1, "held")]


def test_appeal_keeps_out_everybody_who_had_a_look_and_takes_one(
    visit: Visit, reviewers: list[Reviewer]
) -> None:
    for reviewer, decision in zip(reviewers, ("accepted", "declined", "declined"), strict=False):
        decide(visit, reviewer, decision)
    appeal(visit=visit, text="It was sorted.", at=LATER)

    for reviewer in reviewers[:3]:
        with pytest.raises(NotAllowed, match="An appeal goes to another reviewer"):
            decide(visit, reviewer)
    decide(visit, reviewers[3])

    visit.refresh_from_db()
    assert visit.state == "accepted"
    assert standings()[-1] == (2, 1, "deciding")


def test_round_that_was_begun_goes_on_when_the_share_becomes_none(
    visit: Visit, reviewers: list[Reviewer], settings: Any
) -> None:
    decide(visit, reviewers[0])
    settings.SECOND_LOOK_SHARE = 0.0

    assert decide(visit, reviewers[1], "declined").standing == "held"
    assert decide(visit, reviewers[2]).standing == "deciding"


def test_what_happened_is_told_in_its_order(visit: Visit, reviewers: list[Reviewer]) -> None:
    decide(visit, reviewers[0], "declined")
    decide(visit, reviewers[1], "declined")
    appeal(visit=visit, text="It was sorted.", at=LATER + timedelta(hours=1))
    Visit.objects.update(state="withdrawn")
    visit.refresh_from_db()

    told = [(one.what, one.by, one.decision) for one in happened_since(visit, 0)]

    assert told == [
        ("received", "", ""),
        ("reviewed", "R-1", "declined"),
        ("reviewed", "R-2", "declined"),
        ("appealed", "", ""),
        ("withdrawn", "", ""),
    ]
    assert len(told) == version_of(visit)
