"""Long lists come in pages: what changed since, own visits, and every fault of a batch."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from api.partners import visits as own_visits
from api.review.shapes import etag
from surveys.people.models import Group
from surveys.visits.models import Visit
from tests.api.holders import SUBMISSIONS, VISITS, holder_of, partner, sent_visit, visit_of
from tests.factories.private import ReviewerFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db
LONG_AGO = datetime(2025, 4, 14, tzinfo=UTC)


@pytest.fixture
def sent() -> tuple[Group, Actor]:
    """Return a group that sent three visits long ago, and its caller."""
    group, caller = partner()
    for number in (1, 2, 3):
        sent_visit(caller, visit_of(number))
    Visit.objects.update(received_at=LONG_AGO)
    return group, caller


def refs(caller: Actor, address: str) -> list[str]:
    return [row["client_ref"] for row in caller.get(address).json()["data"]]


def since(instant: datetime) -> str:
    return f"{VISITS}?changed_since={instant:%Y-%m-%dT%H:%M:%SZ}"


def test_only_what_changed_since_is_listed(sent: tuple[Group, Actor]) -> None:
    _, caller = sent
    today = timezone.now() - timedelta(hours=1)

    assert refs(caller, since(today)) == []
    decided("QVD-S01")
    assert refs(caller, since(today)) == ["QVD-S01"]
    tag = caller.get(f"{VISITS}/QVD-S02").headers["ETag"]
    caller.put(f"{VISITS}/QVD-S02", visit_of(2, people_digging=3), **{"If-Match": tag})
    caller.post(f"{VISITS}/QVD-S03/withdrawal", {"reason_class": "sender_error"})
    assert refs(caller, since(today)) == ["QVD-S03", "QVD-S02", "QVD-S01"]
    assert refs(caller, since(timezone.now() + timedelta(hours=1))) == []


def decided(ref: str) -> None:
    """Accept a visit, as a reviewer does."""
    reviewer = holder_of(ReviewerFactory.create(), "review")
    body = {"decision": "accepted"}
    answer = reviewer.post(
        f"/api/v1/review/visits/QVD/{ref}/decision",
        body,
        **{"If-Match": etag(Visit.objects.get(client_ref=ref))},
    )
    assert answer.status_code == 200, answer.json()


def test_link_for_the_next_time_begins_before_this_one(sent: tuple[Group, Actor]) -> None:
    _, caller = sent

    link = caller.get(f"{VISITS}?state=in_review").json()["links"]["changes"]

    assert "state=in_review" in link
    assert refs(caller, link) == []
    sent_visit(caller, visit_of(4))
    assert refs(caller, link) == ["QVD-S04"]


def test_pages_hold_each_visit_once(
    sent: tuple[Group, Actor], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, caller = sent
    monkeypatch.setattr(own_visits, "PAGE", 2)

    assert [row["client_ref"] for row in caller.rows(VISITS)] == ["QVD-S03", "QVD-S02", "QVD-S01"]


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("changed_since=yesterday", 400),
        ("changed_since=2025-04-12", 400),
        ("changed_since=2025-04-12T10:00:00", 400),
        ("changed_since=2025-13-12T10:00:00Z", 400),
        ("changed_since=0001-01-01T00:00:00%2B14:00", 400),
        ("before=NOTHING", 404),
        ("colour=red", 400),
    ],
)
def test_wrong_question_is_refused(sent: tuple[Group, Actor], query: str, status: int) -> None:
    _, caller = sent

    assert caller.get(f"{VISITS}?{query}").status_code == status


def with_faults(number: int) -> dict[str, Any]:
    """Return a visit with so many unknown fields."""
    return visit_of(1) | {f"odd-{place}": 1 for place in range(number)}


def test_faults_beyond_what_is_shown_stand_in_pages() -> None:
    _, caller = partner()

    answer = caller.post(SUBMISSIONS, {"visits": [with_faults(1203)]}).json()

    assert (len(answer["errors"]), answer["errors_truncated"]) == (500, True)
    assert answer["errors_total"] == 1203
    pages = list(caller.pages(answer["errors_link"]))
    assert [len(page["data"]) for page in pages] == [500, 500, 203]
    pointers = [fault["pointer"] for page in pages for fault in page["data"]]
    assert pointers == [f"/visits/0/odd-{place}" for place in range(1203)]
    assert pages[0]["data"][0]["docs"].endswith("/problems/field-unknown")


def test_batch_that_is_not_kept_has_no_list_elsewhere() -> None:
    _, caller = partner()

    answer = caller.post(f"{SUBMISSIONS}?on_error=abort", {"visits": [with_faults(501)]}).json()

    assert (answer["errors_truncated"], answer["errors_total"]) == (True, 501)
    assert "errors_link" not in answer
