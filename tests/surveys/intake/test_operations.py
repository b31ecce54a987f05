"""The one call for a batch: its answer, and that it is given once."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from surveys.intake.idempotency import KeyReused
from surveys.intake.models import IdempotentAnswer, Submission
from surveys.intake.operations import submit
from surveys.people.models import Group
from surveys.visits.models import Visit
from tests.factories.private import (
    NOW,
    GroupFactory,
    Payload,
    body_of,
    put,
    send,
    sending_group,
    visit_payload,
    without,
)

pytestmark = pytest.mark.django_db

GOOD = visit_payload(client_ref="GOOD")
BAD = visit_payload(client_ref="BAD", participant="NOBODY")
DOUBTFUL = put(visit_payload(client_ref="DOUBTFUL", people_digging=None), "/pits/0/total", 8)


@pytest.fixture
def group() -> Group:
    return sending_group()


def row_counts() -> dict[str, int]:
    tables = apps.get_app_config("surveys").get_models()
    return {model.__name__: model._default_manager.count() for model in tables}


def summary(**changes: int) -> dict[str, int]:
    nothing = dict.fromkeys(("received", "stored", "unchanged", "rejected", "queries", "notes"), 0)
    return nothing | changes


def test_answer_sums_up_and_lists_every_visit(group: Group) -> None:
    answer = send(group, GOOD, BAD, put(DOUBTFUL, "/visited_on", "2025-04-11"))

    assert (answer.status, answer.replayed) == (200, False)
    assert answer.body["submission"] == str(Submission.objects.get().public_key)
    assert answer.body["stored"] is True
    assert answer.body["summary"] == summary(received=3, stored=2, rejected=1, queries=1, notes=1)
    assert [tuple(item.values()) for item in answer.body["items"]] == [
        (0, "GOOD", "stored", "in_review", 0),
        (1, "BAD", "rejected", None, 1),
        (2, "DOUBTFUL", "stored", "in_review", 2),
    ]
    assert list(answer.body["items"][0]) == ["position", "client_ref", "outcome", "state", "faults"]
    assert [(fault["record"], fault["severity"]) for fault in answer.body["errors"]] == [
        ("BAD", "error"),
        ("DOUBTFUL", "query"),
        ("DOUBTFUL", "note"),
    ]


def test_five_faults_of_a_batch_are_told_in_one_answer(group: Group) -> None:
    two = put(put(visit_payload(client_ref="TWO"), "/note", 7), "/pits/0/width_cm", "20,5")
    three = visit_payload(client_ref="THREE", participant="NOBODY", protocol="no-pit/1")

    answer = send(group, two, three, 5)

    assert [(fault["pointer"], fault["code"]) for fault in answer.body["errors"]] == [
        ("/visits/0/note", "text-expected"),
        ("/visits/0/pits/0/width_cm", "number-decimal-comma"),
        ("/visits/1/protocol", "protocol-unknown"),
        ("/visits/1/participant", "participant-unknown"),
        ("/visits/2", "value-not-allowed"),
    ]


def test_state_of_an_unchanged_visit_is_told_but_not_that_of_a_refused_one(group: Group) -> None:
    send(group, GOOD)
    Visit.objects.update(state="accepted")

    again, other = send(group, GOOD), send(group, put(GOOD, "/note", "Other."))

    assert again.body["summary"] == summary(received=1, unchanged=1)
    assert again.body["items"][0]["state"] == "accepted"
    assert other.body["items"][0]["state"] is None


@pytest.mark.parametrize(
    ("visits", "on_error", "status", "stored"),
    [
        ([GOOD], "skip", 200, 1),
        ([GOOD, BAD], "skip", 200, 1),
        ([BAD, BAD], "skip", 422, 0),
        ([GOOD], "abort", 200, 1),
        ([GOOD, BAD], "abort", 422, 0),
        ([DOUBTFUL], "abort", 200, 1),
    ],
    ids=["good", "mixed", "bad", "good or nothing", "mixed or nothing", "doubtful or nothing"],
)
def test_bad_visits_are_skipped_or_stop_all(
    group: Group, visits: list[Payload], on_error: str, status: int, stored: int
) -> None:
    answer = send(group, *visits, on_error=on_error)

    assert answer.status == status
    assert Visit.objects.count() == stored


@pytest.mark.parametrize("key", [None, "key-1"])
@pytest.mark.parametrize("on_error", ["skip", "abort"])
def test_dry_run_answers_as_the_real_one_and_stores_nothing(
    group: Group, on_error: str, key: str | None
) -> None:
    visits = [GOOD, BAD, DOUBTFUL]
    before = row_counts()

    dry = send(group, *visits, on_error=on_error, key=key, dry_run=True)

    assert row_counts() == before
    assert (dry.body["stored"], dry.body["submission"]) == (False, None)
    real = send(group, *visits, on_error=on_error, key=key)
    same = ("summary", "items", "errors")
    assert dry.status == real.status
    assert [dry.body[part] for part in same] == [real.body[part] for part in same]


def test_refused_batch_stores_nothing_at_all(group: Group) -> None:
    before = row_counts()

    answer = send(group, GOOD, BAD, on_error="abort")

    assert (answer.body["stored"], answer.body["submission"]) == (False, None)
    assert answer.body["summary"]["stored"] == 0
    assert [item["outcome"] for item in answer.body["items"]] == ["not_stored", "rejected"]
    assert row_counts() == before


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"{", 400, "body-not-json"),
        (b"[]", 422, "batch-shape"),
        (b'{"visits": []}', 422, "batch-size"),
    ],
)
@pytest.mark.parametrize("dry_run", [True, False])
def test_body_that_is_no_batch_is_answered_with_one_fault(
    *, group: Group, body: bytes, status: int, code: str, dry_run: bool
) -> None:
    before = row_counts()

    answer = submit(group=group, token_name="x", body=body, key=None, at=NOW, dry_run=dry_run)  # noqa: S106 -- a name

    assert answer.status == status
    assert (answer.body["stored"], answer.body["items"]) == (False, [])
    (fault,) = answer.body["errors"]
    assert (fault["code"], fault["severity"]) == (code, "error")
    assert row_counts() == before


def test_same_key_and_body_is_answered_again_and_repeats_nothing(group: Group) -> None:
    first = send(group, GOOD, BAD, key="key-1")
    before = row_counts()

    later = NOW + timedelta(hours=1)
    again = send(group, GOOD, BAD, key="key-1", at=later, token_name="rotated")  # noqa: S106 -- a name

    assert (first.replayed, again.replayed) == (False, True)
    assert (again.status, again.body) == (first.status, first.body)
    assert row_counts() == before


@pytest.mark.parametrize(
    "body", [b"{", b"[]", body_of(BAD)], ids=["no JSON", "no batch", "refused"]
)
def test_refusal_is_answered_again_too(group: Group, body: bytes) -> None:
    answers = [
        submit(group=group, token_name="x", body=body, key="key-1", at=NOW)  # noqa: S106 -- a name
        for _ in range(2)
    ]

    assert [answer.replayed for answer in answers] == [False, True]
    assert answers[0].body == answers[1].body
    assert answers[0].status == answers[1].status >= 400


@pytest.mark.parametrize(
    "how",
    [{"body": body_of(GOOD) + b" "}, {"body": body_of(BAD)}, {"on_error": "abort"}],
    ids=["a space more", "other visit", "other choice"],
)
def test_key_of_another_request_is_refused(group: Group, how: dict[str, Any]) -> None:
    send(group, GOOD, key="key-1")
    before = row_counts()
    request: dict[str, Any] = {"body": body_of(GOOD), "key": "key-1", "token_name": "x"} | how

    with pytest.raises(KeyReused):
        submit(group=group, at=NOW, **request)

    assert row_counts() == before


def test_key_is_of_its_group_alone(group: Group) -> None:
    send(group, GOOD, key="key-1")

    answer = send(GroupFactory.create(), BAD, key="key-1")

    assert not answer.replayed
    assert answer.body["summary"]["rejected"] == 1
    assert IdempotentAnswer.objects.filter(key="key-1").count() == 2


def test_keys_are_told_apart_to_the_last_letter(group: Group) -> None:
    first = send(group, GOOD, key="key-1")

    other = send(group, GOOD, key="KEY-1")

    assert first.body["summary"]["stored"] == 1
    assert (other.replayed, other.body["summary"]["unchanged"]) == (False, 1)


def test_dry_run_neither_uses_nor_answers_from_a_key(group: Group) -> None:
    send(group, GOOD, key="key-1")

    dry = send(group, BAD, key="key-1", dry_run=True)

    assert not dry.replayed
    assert dry.body["summary"]["rejected"] == 1


def test_work_that_fails_leaves_its_key_free(group: Group, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(**_: object) -> None:
        message = "disk full"
        raise OSError(message)

    before = row_counts()
    with monkeypatch.context() as broken:
        broken.setattr("surveys.intake.batches.record", full)
        with pytest.raises(OSError, match="disk full"):
            send(group, GOOD, key="key-1")

    assert row_counts() == before
    assert not send(group, GOOD, key="key-1").replayed


def places(value: Any, where: str = "") -> list[str]:
    """Return the pointers of everything below a value."""
    parts = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for step, part in parts:
        found.append(f"{where}/{step}")
        if isinstance(part, dict | list):
            found += places(part, f"{where}/{step}")
    return found


# Values that forms, spreadsheets and attackers send (own collection).
TEXTS = ("", " ", "\x00", "\ud800", "A\x00", "٢٠", "1_000", "NaN", "²", "not_looked_for", "egg")
WORDS = ("expellant", "contrast-pit/1", "school-pit/1", "species-pit/1", "not_known")
TIMES = ("9999-12-31", "0001-01-01", "9999-12-31T23:59:59-12:00", "2025-04-12T10:00:00")
NUMBERS = (1e308, 5e-324, -0.0, 10**17, -(10**17), 90, -180, 52.87431812345678, 200, 0.01, 40)
OTHERS: tuple[Any, ...] = (True, None, [], {}, [[]], {"\ud800": 1})
ODD = (*TEXTS, *WORDS, *TIMES, *NUMBERS, *OTHERS)
odd = st.sampled_from(ODD) | st.text(max_size=5) | st.integers(-999, 999) | st.floats(-999, 999)
changes = st.lists(st.tuples(st.sampled_from(places(visit_payload())), odd), min_size=1, max_size=3)


def changed(payload: Payload, pointer: str, value: Any) -> Payload:
    """Return the payload with the change, or as it was if an earlier change took the place."""
    try:
        return without(payload, pointer) if value == [[]] else put(payload, pointer, value)
    except (KeyError, IndexError, TypeError, ValueError):
        return payload


@given(sent=changes)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_change_of_a_sound_visit_is_answered_and_stored_visits_can_be_sent_again(
    sent: list[tuple[str, Any]],
) -> None:
    with transaction.atomic():
        group, payload = sending_group(), visit_payload()
        for pointer, value in sent:
            payload = changed(payload, pointer, value)

        answer = send(group, payload, key="key-1")

        assert json.dumps(answer.body, ensure_ascii=False).encode("utf-8")
        assert (answer.status == 200) is Visit.objects.exists()
        if answer.status == 200:
            assert send(group, payload).body["summary"]["unchanged"] == 1
            other = payload | {"client_ref": "OTHER"}
            assert send(group, other).body["summary"]["stored"] == 1
        transaction.set_rollback(True)
