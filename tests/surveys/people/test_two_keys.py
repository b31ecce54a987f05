"""Whose yes counts: of age, under age, between the two; and the same by a plain reference."""

import random
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from itertools import permutations
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys.people.models import Consent, Participant
from tests.factories.private import (
    ConsentFactory,
    ConsentStatementFactory,
    GroupFactory,
    ParticipantFactory,
)
from tests.surveys.people.consent_reference import Person, Said, Words, may

pytestmark = pytest.mark.django_db

BIRTHDAY = datetime(2025, 4, 1, tzinfo=UTC)
BORN_ON = date(2007, 4, 1)
DAY = timedelta(days=1)
BEFORE, ON_THE_DAY, AFTER = BIRTHDAY - DAY, BIRTHDAY, BIRTHDAY + 20 * DAY
PEOPLE = 120  # random histories of one seed, asked at five instants each


def person(**facts: Any) -> Participant:
    made: Participant = ParticipantFactory.create(**facts)
    return made


def answer(who: Participant, said: Said, purpose: str = "publish") -> None:
    ConsentFactory.create(
        participant=who,
        purpose=purpose,
        decision=said.decision,
        given_by=said.given_by,
        giver=said.giver,
        statement_version=said.version,
        decided_at=said.decided_at,
        ends_on=said.ends_on,
    )


def yes(given_by: str, at: datetime = BEFORE - DAY, **facts: Any) -> Said:
    return Said("given", given_by, at, **facts)


def holds(who: Participant, at: datetime, purpose: str = "publish") -> bool:
    return Consent.objects.in_force(purpose, at).filter(participant=who).exists()


@pytest.mark.parametrize(
    ("history", "expected"),
    [
        ([yes("guardian")], False),
        ([yes("self")], False),
        ([yes("guardian"), yes("self")], True),
        ([yes("guardian"), Said("refused", "self", BEFORE)], False),
        ([Said("refused", "guardian", BEFORE), yes("self")], False),
        ([Said("pending", "guardian", BEFORE), yes("self")], False),
        ([yes("guardian", giver="first"), yes("guardian", giver="second"), yes("self")], True),
        (
            [
                yes("guardian", giver="first"),
                Said("withdrawn", "guardian", BEFORE, "second"),
                yes("self"),
            ],
            False,
        ),
        (
            [yes("guardian", giver="first"), yes("self"), yes("guardian", ends_on=BEFORE.date())],
            False,
        ),
    ],
    ids=[
        "guardian alone",
        "child alone",
        "both",
        "child says no",
        "guardian says no",
        "guardian not answered",
        "two guardians",
        "guardians disagree",
        "one guardian's yes has ended",
    ],
)
def test_minor_needs_both_keys(history: list[Said], *, expected: bool) -> None:
    child = person(born_on=BORN_ON)

    for said in history:
        answer(child, said)

    assert holds(child, BEFORE) is expected


def test_no_of_either_wins_in_whatever_order_the_answers_come() -> None:
    answers = [
        ("given", "guardian", "first"),
        ("refused", "guardian", "second"),
        ("given", "self", ""),
    ]

    for order in permutations(answers):
        child = person(born_on=BORN_ON)
        for day, (decision, given_by, giver) in enumerate(order):
            answer(child, Said(decision, given_by, BEFORE - (9 - day) * DAY, giver))
        assert not holds(child, BEFORE), order


def test_guardians_consent_ends_on_the_birthday_and_only_an_own_answer_renews_it() -> None:
    child = person(born_on=BORN_ON)
    answer(child, yes("guardian"))
    answer(child, yes("self"))
    answer(child, yes("self", AFTER))

    before_midnight = ON_THE_DAY - timedelta(microseconds=1)
    assert holds(child, before_midnight)
    assert not holds(child, ON_THE_DAY)
    assert not holds(child, AFTER - timedelta(microseconds=1))
    assert holds(child, AFTER)


def test_guardian_has_no_say_for_a_person_of_age() -> None:
    grown = person(born_on=BORN_ON)
    answer(grown, yes("self", ON_THE_DAY))
    answer(grown, Said("refused", "guardian", ON_THE_DAY))

    assert holds(grown, AFTER)


@pytest.mark.parametrize(
    ("day", "expected"), [(date(2026, 2, 28), True), (date(2026, 3, 1), False)]
)
def test_who_was_born_on_29_february_is_a_minor_until_1_march(day: date, *, expected: bool) -> None:
    child = person(born_on=date(2008, 2, 29))
    answer(child, yes("guardian"))
    answer(child, yes("self"))

    assert holds(child, datetime(day.year, day.month, day.day, 12, tzinfo=UTC)) is expected


def test_without_a_birthday_people_of_a_childrens_group_are_minors_unless_vouched_for() -> None:
    school = GroupFactory.create(is_of_children=True)
    pupil = person(group=school)
    teacher = person(group=school, of_age_by=(BEFORE - DAY).date())
    for who in (pupil, teacher):
        answer(who, yes("self"))

    assert (holds(pupil, BEFORE), holds(teacher, BEFORE)) == (False, True)


def test_own_answer_before_the_day_that_is_vouched_for_does_not_count() -> None:
    who = person(of_age_by=BEFORE.date())
    answer(who, yes("self", BEFORE - DAY))

    assert not holds(who, AFTER)


def test_without_a_birthday_whoever_a_guardian_answered_for_is_a_minor_for_every_purpose() -> None:
    who = person()
    answer(who, yes("self"))
    answer(who, yes("guardian", BEFORE), "photos")

    assert holds(who, BEFORE - timedelta(seconds=1))
    assert not holds(who, BEFORE)


def test_age_of_majority_is_the_installations(settings: Any) -> None:
    settings.AGE_OF_MAJORITY = 21
    grown = person(born_on=BORN_ON)
    answer(grown, yes("self", ON_THE_DAY))

    assert not holds(grown, AFTER)


def test_other_meaning_ends_older_answers_after_its_grace() -> None:
    grace_ends = (ON_THE_DAY + DAY).date()
    ConsentStatementFactory.create(version="1", meaning=1)
    ConsentStatementFactory.create(
        version="2", meaning=2, valid_from=ON_THE_DAY.date(), older_end_on=grace_ends
    )
    old, unstored, renewed = person(), person(), person()
    answer(old, yes("self", version="1"))
    answer(unstored, yes("self", version="2024-08"))
    answer(renewed, yes("self", ON_THE_DAY, version="2"))

    told = [[holds(who, at) for who in (old, unstored, renewed)] for at in (ON_THE_DAY, AFTER)]

    assert told == [[True, True, True], [False, False, True]]


def test_other_words_of_the_same_meaning_and_other_purposes_end_nothing() -> None:
    ConsentStatementFactory.create(version="2", meaning=1, valid_from=BEFORE.date())
    ConsentStatementFactory.create(purpose="photos", version="2", meaning=2)
    who = person()
    answer(who, yes("self"))

    assert holds(who, AFTER)


@pytest.mark.parametrize("seed", [5, 17, 216])
def test_query_agrees_with_the_plain_reference_on_random_histories(seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 -- no secret
    words = [
        Words("1", 1, date(2024, 1, 1)),
        Words("2", 1, date(2025, 1, 1)),
        Words("3", 2, BORN_18),
    ]
    for one in words:
        ConsentStatementFactory.create(
            version=one.version,
            meaning=one.meaning,
            valid_from=one.older_end_on,
            older_end_on=one.older_end_on,
        )
    groups = {kind: GroupFactory.create(is_of_children=kind) for kind in (False, True)}
    cast = [(drawn_person(draw), drawn_history(draw), draw.random() < 0.2) for _ in range(PEOPLE)]
    rows = []
    for facts, history, said_before in cast:
        who = person(
            group=groups[facts.in_group_of_children],
            born_on=facts.born_on,
            of_age_by=facts.of_age_by,
        )
        rows.append(who.pk)
        if said_before:
            answer(who, yes("guardian", EARLIEST), "contact")
        for said in history:
            answer(who, said)

    told = []
    for at in (EARLIEST + 20 * DAY, BEFORE, ON_THE_DAY, AFTER, AFTER + 200 * DAY):
        held = set(Consent.objects.in_force("publish", at).values_list("participant", flat=True))
        expected = {
            key
            for key, (facts, history, said_before) in zip(rows, cast, strict=True)
            if may(facts, history, words, at, said_before=said_before)
        }
        assert held == expected, at
        told.append(len(expected))
    assert all(0 < number < PEOPLE for number in told), told


EARLIEST = datetime(2024, 10, 1, tzinfo=UTC)
BORN_18 = date(2025, 4, 10)


def drawn_person(draw: random.Random) -> Person:
    kind = draw.choice(["birthday", "vouched", "nothing", "child's group"])
    if kind == "birthday":
        return Person(born_on=BORN_ON + timedelta(days=draw.choice([-4000, -1, 0, 1, 9, 25, 3000])))
    if kind == "vouched":
        return Person(of_age_by=(EARLIEST + timedelta(days=draw.choice([0, 90, 182, 190]))).date())
    return Person(in_group_of_children=kind == "child's group")


def drawn_history(draw: random.Random) -> list[Said]:
    return list(_drawn_answers(draw, draw.randrange(1, 6)))


def _drawn_answers(draw: random.Random, number: int) -> Iterable[Said]:
    for _ in range(number):
        given_by = draw.choice(["self", "self", "guardian"])
        yield Said(
            decision=draw.choice(["given"] * 9 + ["refused", "withdrawn", "pending"]),
            given_by=given_by,
            giver=draw.choice(["", "second"]) if given_by == "guardian" else "",
            decided_at=EARLIEST + timedelta(hours=12 * draw.randrange(420)),
            version=draw.choice(["1", "2", "3", "3", "of old"]),
            ends_on=draw.choice([None] * 5 + [BORN_18 + timedelta(days=draw.randrange(-90, 90))]),
        )


def test_question_is_one_statement_and_serves_inside_another() -> None:
    child = person(born_on=BORN_ON)
    answer(child, yes("guardian"))
    answer(child, yes("self"))

    with CaptureQueriesContext(connection) as asked:
        held = Consent.objects.in_force("publish", BEFORE).values("participant")
        found = list(Participant.objects.filter(pk__in=held))

    assert found == [child]
    assert len(asked) == 1
