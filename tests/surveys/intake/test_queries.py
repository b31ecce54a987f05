"""A group reads what it sent itself, newest first."""

from datetime import timedelta

import pytest

from surveys.intake.queries import submissions_of, visits_of
from tests.factories.private import (
    NOW,
    GroupFactory,
    ParticipantFactory,
    SubmissionFactory,
    SubmissionItemFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db


def test_submissions_are_of_the_group_newest_first() -> None:
    group = GroupFactory.create()
    older, newer = SubmissionFactory.create_batch(2, group=group)
    SubmissionFactory.create()

    assert list(submissions_of(group)) == [newer, older]


def test_items_come_along_in_the_order_sent(django_assert_num_queries: object) -> None:
    group = GroupFactory.create()
    submission = SubmissionFactory.create(group=group)
    visit = VisitFactory.create()
    for position in (2, 0, 1):
        SubmissionItemFactory.create(submission=submission, position=position, visit=visit)

    with django_assert_num_queries(2):  # type: ignore[operator]
        (found,) = submissions_of(group)
        items = [(item.position, item.visit) for item in found.items.all()]

    assert items == [(place, visit) for place in (0, 1, 2)]


def test_bytes_are_fetched_only_where_they_are_asked_for() -> None:
    group = GroupFactory.create()
    SubmissionFactory.create(group=group)

    (found,) = submissions_of(group)

    assert found.get_deferred_fields() == {"body"}


def test_visits_are_of_the_group_newest_first() -> None:
    participant = ParticipantFactory.create()
    older, newer = VisitFactory.create_batch(2, participant=participant)
    VisitFactory.create()

    assert list(visits_of(participant.group)) == [newer, older]


def test_visits_are_filtered_by_state_and_by_receipt() -> None:
    participant = ParticipantFactory.create()
    old, new = (
        VisitFactory.create(participant=participant, received_at=NOW - timedelta(days=days))
        for days in (2, 1)
    )
    accepted = VisitFactory.create(participant=participant, state="accepted")
    group = participant.group

    assert list(visits_of(group, state="in_review")) == [new, old]
    assert list(visits_of(group, state="declined")) == []
    assert list(visits_of(group)) == [accepted, new, old]
