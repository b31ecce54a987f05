"""Corrections, withdrawals and appeals of one visit."""

from typing import Any

import pytest
from django.utils import timezone

from surveys.moderation.operations import review
from surveys.moderation.versions import version_of
from surveys.visits.models import Visit
from tests.api.holders import VISITS, neighbour, sent_visit, visit_of
from tests.api.partners.conftest import Partner
from tests.factories.private import ReviewerFactory, put

ADDRESS = f"{VISITS}/QVD-S01"
CORRECTED = visit_of(1, people_digging=5)


@pytest.fixture
def sender(diggers: Partner) -> Partner:
    """Return a group that has sent one visit."""
    sent_visit(diggers.caller, visit_of(1))
    return diggers


def decide(decision: str, reason_code: str = "") -> None:
    visit = Visit.objects.get()
    review(
        visit=visit,
        reviewer=ReviewerFactory.create(),
        decision=decision,
        seen=version_of(visit),
        reason_code=reason_code,
        at=timezone.now(),
    )


def test_visit_is_read_with_its_revision_as_etag(sender: Partner) -> None:
    answer = sender.caller.get(ADDRESS)

    assert answer.headers["ETag"] == '"revision-1"'
    body = answer.json()
    assert (body["state"], body["revision"], body["public_id"]) == ("in_review", 1, None)
    assert body["links"]["self"] == f"http://localhost:8000{ADDRESS}"


def test_correction_is_the_next_revision(sender: Partner) -> None:
    answer = sender.caller.put(ADDRESS, CORRECTED, **{"If-Match": '"revision-1"'})

    assert (answer.status_code, answer.headers["ETag"]) == (200, '"revision-2"')
    assert answer.json()["revision"] == 2
    assert Visit.objects.get().people_digging == 5


def test_correction_needs_the_revision_read(sender: Partner) -> None:
    answer = sender.caller.put(ADDRESS, CORRECTED)

    assert answer.status_code == 428
    assert answer.json()["type"].endswith("/problems/revision-missing")
    assert Visit.objects.get().revision == 1


@pytest.mark.parametrize("tag", ['"revision-2"', '"revision-0"', "*", '"abc"', "", '"1e9"', "²"])
def test_correction_of_another_revision_is_stale(sender: Partner, tag: str) -> None:
    answer = sender.caller.put(ADDRESS, CORRECTED, **{"If-Match": tag})

    assert answer.status_code == 412
    assert answer.json()["type"].endswith("/problems/revision-stale")
    assert Visit.objects.get().revision == 1


def test_stale_correction_is_told_the_current_revision(sender: Partner) -> None:
    sender.caller.put(ADDRESS, CORRECTED, **{"If-Match": '"revision-1"'})

    answer = sender.caller.put(ADDRESS, CORRECTED, **{"If-Match": '"revision-1"'})

    assert answer.json()["current"] == answer.headers["ETag"] == '"revision-2"'


@pytest.mark.parametrize(
    ("pointer", "value", "code"),
    [
        ("/pits/0/width_cm", "20", "number-not-readable"),
        ("/client_ref", "QVD-S02", "ref-changed"),
        ("/participant", "NOBODY", "participant-unknown"),
        ("/site/latitude", 12.0, "site-differs"),
    ],
)
def test_faulty_correction_is_refused(sender: Partner, pointer: str, value: Any, code: str) -> None:
    body = put(CORRECTED, pointer, value)

    answer = sender.caller.put(ADDRESS, body, **{"If-Match": '"revision-1"'})

    (fault,) = answer.json()["errors"]
    assert (answer.status_code, fault["code"], fault["pointer"]) == (422, code, pointer)
    assert fault["docs"].endswith(f"/problems/{code}")
    assert Visit.objects.get().revision == 1


def test_reviews_are_read_with_their_reasons_but_no_reviewer(sender: Partner) -> None:
    decide("asked_back", "check-number")

    body = sender.caller.get(ADDRESS).json()

    assert body["state"] == "asked_back"
    (read,) = body["reviews"]
    assert read["reason_code"] == "check-number"
    assert "does not add up" in read["reason"]
    assert "reviewer" not in read


def test_appeal_opens_a_decided_visit_once(sender: Partner) -> None:
    decide("declined", "not-sorted")

    first = sender.caller.post(f"{ADDRESS}/appeal", {"text": "It was sorted to the end."})
    second = sender.caller.post(f"{ADDRESS}/appeal", {"text": "Again."})

    assert (first.status_code, first.json()["state"]) == (200, "in_review")
    assert second.status_code == 409
    assert second.json()["type"].endswith("/problems/wrong-state")


@pytest.mark.parametrize("text", [None, "", "  ", 7, "a\x00b", "\ud800"])
def test_appeal_needs_words(sender: Partner, text: Any) -> None:
    decide("declined", "not-sorted")

    answer = sender.caller.post(f"{ADDRESS}/appeal", {"text": text})

    assert answer.status_code == 400
    assert Visit.objects.get().state == "declined"


def test_withdrawn_visit_takes_nothing_more(sender: Partner) -> None:
    body = {"reason_class": "sender_error"}

    first = sender.caller.post(f"{ADDRESS}/withdrawal", body)

    assert (first.status_code, first.json()["state"]) == (200, "withdrawn")
    assert first.json()["public_records_withdrawn"] == 0
    assert sender.caller.post(f"{ADDRESS}/withdrawal", body).status_code == 409
    corrected = sender.caller.put(ADDRESS, CORRECTED, **{"If-Match": '"revision-1"'})
    assert [fault["code"] for fault in corrected.json()["errors"]] == ["visit-closed"]


@pytest.mark.parametrize("body", [{}, {"reason_class": "boredom"}, {"reason_class": None}])
def test_withdrawal_needs_a_known_reason_class(sender: Partner, body: Any) -> None:
    answer = sender.caller.post(f"{ADDRESS}/withdrawal", body)

    assert answer.status_code == 400
    assert answer.json()["allowed"] == ["consent_withdrawn", "erasure", "sender_error", "double"]
    assert Visit.objects.get().state == "in_review"


def test_visit_of_a_neighbour_is_untouched(sender: Partner) -> None:
    neighbour(sender.group, "QVD-08")
    other = visit_of(2, participant="QVD-08")
    sent_visit(sender.caller, other)

    sender.caller.post(f"{ADDRESS}/withdrawal", {"reason_class": "double"})

    assert sender.caller.get(f"{VISITS}/QVD-S02").json()["state"] == "in_review"
