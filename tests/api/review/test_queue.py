"""The queue of a reviewer by HTTP."""

import pytest

from api.review.shapes import VISIT
from surveys.people.models import Group
from tests.api.holders import holder_of, neighbour, sent_visit, visit_of
from tests.factories.private import put
from tests.journeys.actors import Actor

WAITING = "/api/v1/review/waiting"

pytestmark = pytest.mark.django_db


@pytest.mark.usefixtures("group")
def test_waiting_visits_are_listed_with_what_the_reviewer_needs(reviewer: Actor) -> None:
    (visit,) = reviewer.get(WAITING).json()["data"]

    assert (visit["group"], visit["client_ref"], visit["revision"], visit["state"]) == (
        "QVD",
        "QVD-S01",
        1,
        "in_review",
    )
    assert visit["visited_on"] == "2025-04-12"
    assert set(visit) == {*VISIT, "doubt", "value", "links"}


def test_doubtful_visits_come_first(group: Group, reviewer: Actor) -> None:
    neighbour(group, "QVD-08")
    crowded = put(visit_of(2, participant="QVD-08"), "/pits/0/phases/0/counts/1/number", 60)
    crowded = put(crowded, "/pits/0/total", 66)
    sent_visit(holder_of(group, "submit"), crowded)

    visits = reviewer.get(WAITING).json()["data"]

    assert [visit["client_ref"] for visit in visits] == ["QVD-S02", "QVD-S01"]
    assert len(visits[0]["open_questions"]) > len(visits[1]["open_questions"])


def test_queue_is_read_page_by_page_without_loss(group: Group, reviewer: Actor) -> None:
    for number in range(2, 8):
        neighbour(group, f"QVD-1{number}")
        sent_visit(holder_of(group, "submit"), visit_of(number, participant=f"QVD-1{number}"))

    pages = list(reviewer.pages(f"{WAITING}?limit=2"))

    assert [len(page["data"]) for page in pages] == [2, 2, 2, 1]
    whole = reviewer.get(WAITING).json()["data"]
    assert [visit for page in pages for visit in page["data"]] == whole
    assert len({visit["client_ref"] for visit in whole}) == 7


@pytest.mark.parametrize(
    ("query", "problem"),
    [
        ("cursor=garbage", "cursor-invalid"),
        ("limit=0", "parameter-wrong"),
        ("colour=red", "parameter-unknown"),
    ],
)
def test_queue_refuses_what_it_does_not_know(reviewer: Actor, query: str, problem: str) -> None:
    answer = reviewer.get(f"{WAITING}?{query}")

    assert answer.status_code == 400
    assert answer.json()["type"].endswith(f"/problems/{problem}")
