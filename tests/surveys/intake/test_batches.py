"""A batch is stored visit by visit, and nothing of it twice."""

import hashlib
import json
from typing import Any

import pytest

from surveys.audit.models import AuditEntry
from surveys.checks.models import CheckOutcome
from surveys.intake.batches import (
    BatchNotReadable,
    Item,
    NothingStored,
    rehearse_batch,
    store_batch,
)
from surveys.intake.models import Submission, SubmissionItem
from surveys.people.models import Group
from surveys.visits.models import Visit
from tests.factories.private import (
    NOW,
    GroupFactory,
    ParticipantFactory,
    Payload,
    body_of,
    put,
    sending_group,
    stored_visit,
    visit_payload,
)

pytestmark = pytest.mark.django_db

GOOD = visit_payload(client_ref="GOOD")
BAD = visit_payload(client_ref="BAD", participant="NOBODY")


@pytest.fixture
def group() -> Group:
    return sending_group()


def store(
    group: Group, *visits: Any, body: bytes | None = None, all_or_nothing: bool = False
) -> list[Item]:
    _, items = store_batch(
        group=group,
        token_name="laptop",  # noqa: S106 -- what the group calls its token
        body=body or body_of(*visits),
        batch=json.loads(body or body_of(*visits)),
        at=NOW,
        all_or_nothing=all_or_nothing,
    )
    return items


def brief(items: list[Item]) -> list[tuple[str, str, list[str]]]:
    return [
        (item.client_ref, item.outcome.value, [fault.code for fault in item.faults])
        for item in items
    ]


def test_good_visits_are_stored_and_bad_ones_listed(group: Group) -> None:
    items = store(group, GOOD, BAD, visit_payload(client_ref="TWO", visited_on="2025-04-11"))

    assert brief(items) == [
        ("GOOD", "stored", []),
        ("BAD", "rejected", ["participant-unknown"]),
        ("TWO", "stored", []),
    ]
    assert [item.position for item in items] == [0, 1, 2]
    assert [visit.client_ref for visit in Visit.objects.all()] == ["GOOD", "TWO"]


def test_body_is_kept_word_for_word(group: Group) -> None:
    spaced = b'\n{"visits"  :[' + json.dumps(GOOD, indent=3).encode() + b" ]\t}\n "

    store(group, body=spaced)

    submission = Submission.objects.get()
    assert bytes(submission.body) == spaced
    assert submission.body_sha256 == hashlib.sha256(spaced).hexdigest()
    assert (submission.group, submission.received_at) == (group, NOW)
    assert submission.token_name == "laptop"  # noqa: S105 -- what the group calls its token


def test_every_item_is_kept_with_where_it_went_or_why_not(group: Group) -> None:
    known = stored_visit(group, visit_payload(client_ref="KNOWN"))

    store(group, GOOD, BAD, visit_payload(client_ref="KNOWN"), 7)

    kept = SubmissionItem.objects.filter(submission=Submission.objects.latest("id"))
    rows = list(kept.values_list("position", "client_ref", "outcome", "visit"))
    assert rows == [
        (0, "GOOD", "stored", Visit.objects.get(client_ref="GOOD").pk),
        (1, "BAD", "rejected", None),
        (2, "KNOWN", "unchanged", known.pk),
        (3, "", "rejected", None),
    ]
    faults = kept.get(position=1).faults
    assert [fault["pointer"] for fault in faults] == ["/visits/1/participant"]
    assert faults[0]["hint"].startswith("Register the participant")


def test_findings_of_the_checks_are_kept_beside_the_first_revision(group: Group) -> None:
    (item,) = store(group, put(GOOD, "/pits/0/total", 8))

    outcomes = CheckOutcome.objects.filter(visit=item.visit)
    faults = outcomes.exclude(result__in=["COMPLIANT", "NOT_ISSUE", ""])
    assert set(outcomes.values_list("revision", "run_at")) == {(1, NOW)}
    assert [outcome.label for outcome in faults] == ["VALIDATION_COUNTS_SUMCONSISTENT"]
    assert [fault.severity for fault in item.faults] == ["query"]


def test_blocked_visit_leaves_neither_site_nor_outcome(group: Group) -> None:
    store(group, visit_payload(visited_on="2026-04-12"))

    assert not group.sites.exists()
    assert not CheckOutcome.objects.exists()


def test_trail_notes_the_batch(group: Group) -> None:
    store(group, GOOD, BAD)

    entry = AuditEntry.objects.latest("id")
    assert (entry.actor, entry.action, entry.at) == ("group QVD", "batch received", NOW)
    assert entry.subject_key == str(Submission.objects.get().public_key)
    assert entry.detail == {"visits": 2}


def test_visit_sent_again_is_unchanged(group: Group) -> None:
    store(group, GOOD)

    items = store(group, dict(reversed(GOOD.items())))

    assert brief(items) == [("GOOD", "unchanged", [])]
    assert items[0].visit == Visit.objects.get()
    assert Submission.objects.count() == 2


def test_other_visit_under_a_known_reference_is_refused(group: Group) -> None:
    store(group, GOOD)

    (item,) = store(group, put(GOOD, "/note", "Other."))

    (fault,) = item.faults
    assert (item.outcome, fault.code, fault.severity) == ("rejected", "ref-exists", "error")
    assert (fault.pointer, fault.received) == ("/visits/0/client_ref", "GOOD")
    assert Visit.objects.get().note == "Many fine roots."


def test_groups_do_not_share_references(group: Group) -> None:
    other = GroupFactory.create()
    ParticipantFactory.create(group=other, code="QVD-07")
    store(group, GOOD)

    (item,) = store(other, put(GOOD, "/note", "Other."))

    assert item.outcome == "stored"
    assert list(item.faults) == [], "what other groups sent is not told"


@pytest.mark.parametrize(
    ("first", "second", "stored"),
    [(GOOD, GOOD, 1), (GOOD, put(GOOD, "/note", "Other."), 1), (put(GOOD, "/note", 7), GOOD, 0)],
    ids=["same", "other", "after a bad one"],
)
def test_second_visit_of_one_reference_is_refused_and_not_stored(
    group: Group, first: Payload, second: Payload, stored: int
) -> None:
    items = store(group, first, second)

    (fault,) = items[1].faults
    assert (items[1].outcome, fault.code) == ("rejected", "ref-twice")
    assert fault.pointer == "/visits/1/client_ref"
    assert Visit.objects.count() == stored


def test_visits_without_a_usable_reference_are_not_taken_for_each_other(group: Group) -> None:
    items = store(group, {}, {}, {"client_ref": 7}, {"client_ref": "A\x00"}, [], None)

    assert {item.client_ref for item in items} == {""}
    assert {item.outcome for item in items} == {"rejected"}
    assert not {fault.code for item in items for fault in item.faults} & {"ref-twice", "ref-exists"}


def test_all_or_nothing_keeps_nothing_and_says_of_each(group: Group) -> None:
    with pytest.raises(NothingStored) as refusal:
        store(group, GOOD, BAD, all_or_nothing=True)

    assert brief(refusal.value.items) == [
        ("GOOD", "stored", []),
        ("BAD", "rejected", ["participant-unknown"]),
    ]
    assert not Visit.objects.exists()
    assert not Submission.objects.exists()
    assert not AuditEntry.objects.exists()


def test_all_or_nothing_keeps_all_where_nothing_is_wrong(group: Group) -> None:
    store(group, GOOD, put(GOOD, "/client_ref", "TWO"), all_or_nothing=True)

    assert Visit.objects.count() == 2


def test_rehearsal_answers_as_storing_would(group: Group) -> None:
    visits = [GOOD, BAD, GOOD, put(GOOD, "/client_ref", "TWIN")]

    rehearsed = brief(rehearse_batch(group=group, batch={"visits": visits}, at=NOW))

    assert rehearsed == brief(store(group, *visits))


@pytest.mark.parametrize(
    ("batch", "pointer", "code", "received"),
    [
        ([GOOD], "", "batch-shape", [GOOD]),
        (None, "", "batch-shape", None),
        ("visits", "", "batch-shape", "visits"),
        ({}, "/visits", "batch-shape", None),
        ({"visits": GOOD}, "/visits", "batch-shape", GOOD),
        ({"visits": None}, "/visits", "batch-shape", None),
        ({"visits": []}, "/visits", "batch-size", 0),
        ({"visits": [{}] * 201}, "/visits", "batch-size", 201),
        ({"visits": [GOOD], "b/c": 1, "d": 2}, "/b~1c", "field-unknown", "b/c"),
    ],
)
def test_what_is_no_batch_is_refused_whole(
    group: Group, batch: Any, pointer: str, code: str, received: Any
) -> None:
    with pytest.raises(BatchNotReadable) as refusal:
        rehearse_batch(group=group, batch=batch, at=NOW)

    (fault,) = refusal.value.faults
    assert (fault.pointer, fault.code, fault.received) == (pointer, code, received)
    assert str(refusal.value) == fault.message


def test_two_hundred_visits_are_a_batch(group: Group) -> None:
    items = store(group, *[{}] * 199, GOOD)

    assert len(items) == 200
    assert [item.position for item in items if item.visit] == [199]
    assert SubmissionItem.objects.count() == 200
