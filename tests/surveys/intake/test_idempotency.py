"""A key is claimed before the work: whoever comes meanwhile is told at once, and once a day ends.

Draft of the header field Idempotency-Key (IETF httpapi): 409 while the first request is at work,
422 for another request; from memory.
"""

import io
import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from surveys.intake.idempotency import (
    KEPT,
    LEASE,
    Answer,
    KeyBusy,
    answer_once,
    forget_answers,
)
from surveys.intake.models import IdempotentAnswer
from surveys.people.models import Group
from surveys.visits.models import Visit
from tests.factories.private import NOW, GroupFactory, put, send, sending_group, visit_payload

DONE = Answer(200, {"done": 1})
SAME = "a" * 64


def once(group: Group, work: Callable[[], Answer] = lambda: DONE, **changes: Any) -> Answer:
    request: dict[str, Any] = {"key": "key-1", "request_sha256": SAME, "at": NOW} | changes
    return answer_once(group=group, work=work, **request)


@pytest.mark.django_db
def test_second_request_is_told_at_once_that_the_first_is_at_work() -> None:
    group = sending_group()
    told: list[type[Exception]] = []

    def work() -> Answer:
        with pytest.raises(KeyBusy):
            once(group, at=NOW + timedelta(seconds=1))
        told.append(KeyBusy)
        return DONE

    assert once(group, work) == DONE
    assert told == [KeyBusy]


@pytest.mark.django_db
def test_key_of_a_process_that_died_is_taken_over() -> None:
    group = sending_group()
    IdempotentAnswer.objects.create(
        group=group, key="key-1", request_sha256=SAME, created_at=NOW - LEASE
    )

    assert once(group) == DONE
    assert once(group).replayed


@pytest.mark.django_db
def test_work_whose_key_was_taken_over_is_undone() -> None:
    group = sending_group()

    def slow() -> Answer:
        Group.objects.filter(pk=group.pk).update(name="changed")
        assert once(group, at=NOW + LEASE) == DONE
        return DONE

    with pytest.raises(KeyBusy):
        once(group, slow)

    group.refresh_from_db()
    assert group.name != "changed"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("later", "replayed"), [(KEPT - timedelta(seconds=1), True), (KEPT, False)]
)
def test_answer_is_kept_for_a_day(later: timedelta, *, replayed: bool) -> None:
    group = sending_group()
    once(group)

    assert once(group, at=NOW + later).replayed is replayed


@pytest.mark.django_db
def test_old_answers_of_all_groups_are_deleted_by_command() -> None:
    once(sending_group())
    once(GroupFactory.create(), key="key-2", at=timezone.now())
    out = io.StringIO()

    call_command("forgetkeys", stdout=out)

    assert out.getvalue() == "1 answer(s) deleted.\n"
    assert [held.key for held in IdempotentAnswer.objects.all()] == ["key-2"]
    assert forget_answers(at=timezone.now()) == 0


def in_parallel(works: list[Callable[[], Any]]) -> list[Any]:
    """Do works at the same time, each with a connection of its own; returns what they returned."""
    start = threading.Barrier(len(works))
    found: list[Any] = [None] * len(works)

    def run(place: int, work: Callable[[], Any]) -> None:
        try:
            start.wait()
            found[place] = work()
        except Exception as error:  # noqa: BLE001 -- what came out is what is asserted
            found[place] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(works)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(
    connection.vendor == "sqlite", reason="the test database in memory is one connection"
)
def test_parallel_sends_of_one_reference_store_it_once() -> None:
    group = sending_group()
    one, two = visit_payload(client_ref="ONE"), visit_payload(client_ref="TWO")
    two = put(put(two, "/site/code", "other"), "/site/latitude", 52.7)

    answers = in_parallel(
        [lambda: send(group, one, two), lambda: send(group, two, one)] * 3
        + [lambda: send(group, one | {"note": "Other."})]
    )

    assert [type(answer) for answer in answers] == [Answer] * 7
    assert sorted(Visit.objects.values_list("client_ref", flat=True)) == ["ONE", "TWO"]
    stored = sum(answer.body["summary"]["stored"] for answer in answers)
    assert stored == 2
    assert {answer.status for answer in answers} <= {200, 422}


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(
    connection.vendor == "sqlite", reason="the test database in memory is one connection"
)
def test_parallel_sends_with_one_key_do_the_work_once() -> None:
    group = sending_group()
    now = timezone.now()
    sends = [lambda: send(group, visit_payload(), key="key-1", at=now)] * 5

    answers = in_parallel(sends)

    done = [answer for answer in answers if isinstance(answer, Answer)]
    busy = [answer for answer in answers if isinstance(answer, KeyBusy)]
    assert len(done) + len(busy) == 5
    assert [answer.replayed for answer in done].count(False) == 1
    assert Visit.objects.count() == 1
