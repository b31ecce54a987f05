"""Who may decide on whose record, and who may release."""

import pytest

from surveys.people.models import Participant, Reviewer
from surveys.people.permissions import may_release, may_review
from tests.factories.private import GroupFactory, ParticipantFactory, ReviewerFactory

pytestmark = pytest.mark.django_db


def recorder(group: str, household: str) -> Participant:
    made: Participant = ParticipantFactory.create(
        group=GroupFactory.create(code=group), household=household
    )
    return made


@pytest.mark.parametrize(
    ("household", "same_group", "expected"),
    [
        ("mill house", True, False),
        ("hill farm", True, True),
        ("mill house", False, True),  # a household code is a group's own word
        ("hill farm", False, True),
    ],
    ids=["own household", "neighbour", "namesake elsewhere", "stranger"],
)
def test_reviewer_may_not_decide_on_their_household(
    *, household: str, same_group: bool, expected: bool
) -> None:
    own = recorder("QVD", "mill house")
    group = own.group if same_group else GroupFactory.create()
    other = ParticipantFactory.create(group=group, household=household)
    reviewer = ReviewerFactory.create(participant=own)

    assert may_review(reviewer, other) is expected


def test_reviewer_may_not_decide_on_their_own_record_after_moving_house() -> None:
    own = recorder("QVD", "mill house")
    reviewer = ReviewerFactory.create(participant=own)
    Participant.objects.filter(pk=own.pk).update(household="hill farm")

    assert not may_review(reviewer, Participant.objects.get(pk=own.pk))


@pytest.mark.parametrize("active", [True, False])
def test_reviewer_who_records_nothing_may_decide_while_active(*, active: bool) -> None:
    reviewer = ReviewerFactory.create(active=active)

    assert may_review(reviewer, recorder("QVD", "mill house")) is active


@pytest.mark.parametrize(
    ("is_steward", "active", "expected"),
    [(True, True, True), (True, False, False), (False, True, False), (False, False, False)],
)
def test_active_stewards_alone_may_release(
    *, is_steward: bool, active: bool, expected: bool
) -> None:
    person = Reviewer(code="R-1", is_steward=is_steward, active=active)

    assert may_release(person) is expected
