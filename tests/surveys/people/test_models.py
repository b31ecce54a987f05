"""Which answer of a consent history holds at an instant."""

from datetime import date, datetime, timedelta

import pytest

from surveys.people.models import Consent, Participant
from tests.factories.private import NOW, ConsentFactory, ParticipantFactory

pytestmark = pytest.mark.django_db

EARLY, LATE = NOW - timedelta(days=20), NOW - timedelta(days=10)


def answer(
    participant: Participant,
    decision: str,
    at: datetime,
    purpose: str = "publish",
    ends_on: date | None = None,
) -> Consent:
    made: Consent = ConsentFactory.create(
        participant=participant, purpose=purpose, decision=decision, decided_at=at, ends_on=ends_on
    )
    return made


def holds(participant: Participant, purpose: str = "publish", at: datetime = NOW) -> bool:
    return Consent.objects.in_force(purpose, at).filter(participant=participant).exists()


@pytest.mark.parametrize(
    ("history", "expected"),
    [
        ([], False),
        (["given"], True),
        (["refused"], False),
        (["pending"], False),
        (["given", "withdrawn"], False),
        (["given", "pending"], False),
        (["refused", "given"], True),
        (["pending", "given"], True),
        (["given", "withdrawn", "given"], True),
    ],
    ids=lambda case: "-".join(case) if isinstance(case, list) else "",
)
def test_last_answer_decides(*, history: list[str], expected: bool) -> None:
    participant = ParticipantFactory.create()

    for day, decision in enumerate(history):
        answer(participant, decision, EARLY + timedelta(days=day))

    assert holds(participant) is expected


def test_answer_written_down_late_does_not_outdo_a_later_one() -> None:
    participant = ParticipantFactory.create()
    answer(participant, "withdrawn", LATE)
    answer(participant, "given", EARLY)

    in_between = LATE - timedelta(seconds=1)

    assert not holds(participant)
    assert holds(participant, at=in_between)


def test_of_two_answers_at_one_instant_the_one_written_last_holds() -> None:
    refuser, giver = ParticipantFactory.create_batch(2)
    answer(refuser, "given", LATE)
    answer(refuser, "refused", LATE)
    answer(giver, "refused", LATE)
    answer(giver, "given", LATE)

    assert (holds(refuser), holds(giver)) == (False, True)


def test_answer_counts_from_its_very_instant() -> None:
    participant = ParticipantFactory.create()
    answer(participant, "given", LATE)

    assert not holds(participant, at=LATE - timedelta(microseconds=1))
    assert holds(participant, at=LATE)


@pytest.mark.parametrize(("days_left", "expected"), [(1, True), (0, False), (-1, False)])
def test_consent_with_an_end_holds_until_the_day_before_it(
    *, days_left: int, expected: bool
) -> None:
    participant = ParticipantFactory.create()

    answer(participant, "given", LATE, ends_on=NOW.date() + timedelta(days=days_left))

    assert holds(participant) is expected


def test_consent_that_ended_does_not_fall_back_on_an_earlier_one_without_end() -> None:
    participant = ParticipantFactory.create()
    answer(participant, "given", EARLY)

    answer(participant, "given", LATE, ends_on=NOW.date())

    assert not holds(participant)


def test_purposes_and_people_are_answered_apart() -> None:
    asked, other = ParticipantFactory.create_batch(2)
    answer(asked, "given", EARLY)
    answer(asked, "refused", LATE, purpose="be_named")
    answer(other, "given", LATE, purpose="be_named")

    assert (holds(asked), holds(asked, "be_named")) == (True, False)
    assert (holds(other), holds(other, "be_named")) == (False, True)


def test_latest_answers_are_one_for_each_person_and_purpose() -> None:
    participant = ParticipantFactory.create()
    answer(participant, "given", EARLY)
    latest = [
        answer(participant, "withdrawn", LATE),
        answer(participant, "given", EARLY, purpose="photos"),
    ]
    answer(participant, "given", NOW + timedelta(days=1), purpose="photos")

    assert list(Consent.objects.latest_at(NOW).order_by("id")) == latest
