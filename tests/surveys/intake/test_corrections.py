"""A corrected visit is the next revision, and what was before stays."""

import hashlib
import json
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps

from surveys.audit.models import AuditEntry
from surveys.checks.models import CheckOutcome
from surveys.intake.corrections import NotCorrectable, StaleRevision, correct
from surveys.intake.faults import Fault
from surveys.intake.models import Submission
from surveys.people.models import Group
from surveys.visits.models import Count, Visit, VisitState
from tests.factories.private import (
    NOW,
    DeterminationFactory,
    Payload,
    put,
    sending_group,
    stored_visit,
    visit_payload,
)
from tests.surveys.intake.cases import LINE

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=2)
CORRECTED = put(put(visit_payload(), f"{LINE}/number", 2), "/pits/0/total", 10)


@pytest.fixture
def group() -> Group:
    return sending_group()


@pytest.fixture
def visit(group: Group) -> Visit:
    return stored_visit(group)


def send_correction(
    visit: Visit, payload: Any = CORRECTED, revision: int = 1, body: bytes | None = None
) -> tuple[Visit, list[Fault]]:
    return correct(
        group=visit.group,
        token_name="laptop",  # noqa: S106 -- what the group calls its token
        visit=visit,
        body=body or json.dumps(payload).encode(),
        raw=payload,
        revision=revision,
        at=LATER,
    )


def refused(visit: Visit, payload: Any) -> list[tuple[str, str]]:
    with pytest.raises(NotCorrectable) as refusal:
        send_correction(visit, payload)
    assert {fault.severity for fault in refusal.value.faults} == {"error"}
    return [(fault.pointer, fault.code) for fault in refusal.value.faults]


def row_counts() -> dict[str, int]:
    tables = apps.get_app_config("surveys").get_models()
    return {model.__name__: model._default_manager.count() for model in tables}


@pytest.mark.parametrize("state", ["in_review", "asked_back", "accepted"])
def test_correction_is_the_next_revision_and_goes_back_to_review(visit: Visit, state: str) -> None:
    Visit.objects.update(state=state, note_approved=True)

    corrected, faults = send_correction(visit)

    visit.refresh_from_db()
    assert faults == []
    assert corrected == visit
    assert (visit.revision, visit.state, visit.note_approved) == (2, "in_review", False)
    assert visit.received_at == LATER
    assert [pit.total for pit in visit.current_pits()] == [10, 9]


def test_pits_and_determinations_of_before_stay(visit: Visit) -> None:
    line = Count.objects.filter(phase__pit__visit=visit).order_by("id")[0]
    DeterminationFactory.create(count=line, number=7)

    send_correction(visit)

    line.refresh_from_db()
    assert (line.number, [row.number for row in line.determinations.all()]) == (1, [7])
    revisions = list(visit.pits.order_by("id").values_list("revision", "number", "total"))
    assert revisions == [(1, 1, 9), (1, 2, 9), (2, 1, 10), (2, 2, 9)]


def test_public_ids_move_to_the_corrected_revision(visit: Visit) -> None:
    public_id, line_id = uuid4(), uuid4()
    Visit.objects.update(public_id=public_id)
    first = visit.pits.filter(number=1)
    Count.objects.filter(phase__pit__in=first, phase__kind="hand_sort", group="epigeic").update(
        public_id=line_id
    )

    send_correction(visit)

    visit.refresh_from_db()
    line = Count.objects.get(public_id=line_id)
    assert visit.public_id == public_id
    assert (line.phase.pit.revision, line.number) == (2, 2)


def test_body_is_kept_word_for_word_with_its_item(visit: Visit) -> None:
    body = b" " + json.dumps(CORRECTED, indent=2).encode() + b"\n"

    send_correction(visit, body=body)

    submission = Submission.objects.latest("id")
    (item,) = submission.items.all()
    assert bytes(submission.body) == body
    assert submission.body_sha256 == hashlib.sha256(body).hexdigest()
    assert (item.outcome, item.visit, item.position, item.faults) == ("corrected", visit, 0, [])


def test_checks_look_at_the_corrected_revision_and_keep_their_first_answers(visit: Visit) -> None:
    first = CheckOutcome.objects.filter(visit=visit, revision=1).count()

    _, faults = send_correction(visit, put(CORRECTED, "/pits/0/total", 12))

    outcomes = CheckOutcome.objects.filter(visit=visit)
    doubts = outcomes.filter(result="NOT_COMPLIANT").values_list("label", "revision")
    assert [(fault.pointer, fault.severity) for fault in faults] == [("/pits/0/total", "query")]
    assert list(doubts) == [("VALIDATION_COUNTS_SUMCONSISTENT", 2)]
    assert outcomes.filter(revision=1).count() == first > 20
    assert Submission.objects.latest("id").items.get().faults == [faults[0].as_dict()]


def test_trail_notes_the_correction(visit: Visit) -> None:
    send_correction(visit)

    entry = AuditEntry.objects.latest("id")
    assert (entry.actor, entry.action, entry.at) == ("group QVD", "visit corrected", LATER)
    assert (entry.subject_key, entry.detail) == ("QVD/QVD-S01", {"revision": 2})


def test_visit_is_no_twin_of_itself(visit: Visit) -> None:
    _, faults = send_correction(visit, put(visit_payload(), "/note", "Other words."))

    assert faults == []


def test_corrected_visit_sent_again_as_a_batch_is_unchanged(group: Group, visit: Visit) -> None:
    send_correction(visit)

    assert stored_visit(group, CORRECTED).revision == 2


@pytest.mark.parametrize("revision", [0, 1, 3])
def test_correction_of_another_revision_is_stale(visit: Visit, revision: int) -> None:
    send_correction(visit)
    before = row_counts()

    with pytest.raises(StaleRevision) as refusal:
        send_correction(visit, revision=revision)

    assert refusal.value.current == 2
    assert row_counts() == before


@pytest.mark.parametrize("state", [VisitState.WITHDRAWN, VisitState.DECLINED])
def test_closed_visit_takes_no_correction(visit: Visit, state: VisitState) -> None:
    Visit.objects.update(state=state)
    before = row_counts()

    assert refused(visit, CORRECTED) == [("", "visit-closed")]
    visit.refresh_from_db()
    assert (visit.state, visit.revision) == (state, 1)
    assert row_counts() == before


@pytest.mark.parametrize("ref", ["QVD-S02", "qvd-s01", "QVD-S01x"])
def test_correction_keeps_the_reference(visit: Visit, ref: str) -> None:
    assert refused(visit, put(CORRECTED, "/client_ref", ref)) == [("/client_ref", "ref-changed")]


@pytest.mark.parametrize(
    ("payload", "faults"),
    [
        (put(CORRECTED, "/note", 7), [("/note", "text-expected")]),
        (put(CORRECTED, "/participant", "NOBODY"), [("/participant", "participant-unknown")]),
        (
            put(CORRECTED, "/visited_on", "2026-04-12"),
            [("/visited_on", "validation-visitdate-window")],
        ),
        (
            put(CORRECTED, "/site/latitude", 52.9),
            [("/site/latitude", "site-differs")],
        ),
        ([CORRECTED], [("", "value-not-allowed"), ("/client_ref", "ref-changed")]),
        ("QVD", [("", "value-not-allowed"), ("/client_ref", "ref-changed")]),
    ],
    ids=["not readable", "not resolvable", "blocked", "moved", "a list", "a text"],
)
def test_wrong_content_is_refused_with_every_fault(
    visit: Visit, payload: Payload, faults: list[tuple[str, str]]
) -> None:
    before = row_counts()

    assert refused(visit, payload) == faults
    assert row_counts() == before
    assert Visit.objects.get().revision == 1


def test_faults_of_content_and_of_state_are_told_together(visit: Visit) -> None:
    Visit.objects.update(state=VisitState.WITHDRAWN)
    payload = put(put(CORRECTED, "/note", 7), "/client_ref", "OTHER")

    assert refused(visit, payload) == [
        ("/note", "text-expected"),
        ("", "visit-closed"),
        ("/client_ref", "ref-changed"),
    ]
