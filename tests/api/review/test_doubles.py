"""Pairs of visits that may be one, before reviewers."""

import pytest

from surveys.audit.models import AuditEntry
from surveys.checks.models import DoublePair
from surveys.people.models import Participant
from tests.api.holders import SUBMISSIONS, VISITS, holder_of, partner, sent_visit, visit_of
from tests.factories.private import DoublePairFactory, ReviewerFactory, put
from tests.journeys.actors import Actor

DOUBLES = "/api/v1/review/doubles"
ONE_VISIT = {"verdict": "one_visit"}

pytestmark = pytest.mark.django_db


@pytest.fixture
def senders() -> list[Actor]:
    """Return two groups that sent the same visit."""
    callers = [partner(code)[1] for code in ("QVD", "VFR")]
    for caller in callers:
        sent_visit(caller, visit_of(1))
    return callers


@pytest.mark.usefixtures("senders")
def test_pair_across_groups_is_listed_and_stands_in_the_queue(reviewer: Actor) -> None:
    (pair,) = reviewer.get(DOUBLES).json()["data"]

    assert [visit["group"] for visit in pair["visits"]] == ["QVD", "VFR"]
    assert pair["verdict"] is None
    first, second = reviewer.get("/api/v1/review/waiting").json()["data"]
    assert first["possible_doubles"] == [
        {"pair": pair["id"], "group": second["group"], "client_ref": second["client_ref"]}
    ]


def test_senders_learn_nothing_of_a_pair_with_another_group(
    senders: list[Actor], reviewer: Actor
) -> None:
    stranger = partner("OPL")[1]
    elsewhere = put(visit_of(1), "/site/latitude", 52.8877)
    alone = stranger.post(f"{SUBMISSIONS}?dry_run=true", {"visits": [elsewhere]}).json()
    before = [caller.get(f"{VISITS}/QVD-S01").json() for caller in senders]
    (pair,) = reviewer.get(DOUBLES).json()["data"]

    reviewer.post(f"{DOUBLES}/{pair['id']}/verdict", ONE_VISIT)

    assert [caller.get(f"{VISITS}/QVD-S01").json() for caller in senders] == before
    labels = {question["label"] for question in before[0]["open_questions"]}
    assert "ISSUE_POSSIBLE_DUPLICATE" not in labels
    twin = stranger.post(f"{SUBMISSIONS}?dry_run=true", {"visits": [visit_of(1)]}).json()
    assert (twin["summary"], twin["errors"]) == (alone["summary"], alone["errors"])
    # lists of what changed for a group are made from entries of the kind "visit"
    assert AuditEntry.objects.latest("id").subject_kind == "pair"


@pytest.mark.usefixtures("senders")
def test_pair_is_judged_once(reviewer: Actor) -> None:
    (pair,) = reviewer.get(DOUBLES).json()["data"]
    address = f"{DOUBLES}/{pair['id']}/verdict"

    assert reviewer.post(address, ONE_VISIT).json()["verdict"] == "one_visit"
    assert reviewer.post(address, {"verdict": "two_visits"}).status_code == 409
    assert reviewer.get(DOUBLES).json()["data"] == []
    assert DoublePair.objects.filter(judged_by__code="V1").exists()


@pytest.mark.usefixtures("senders")
@pytest.mark.parametrize("code", ["QVD", "VFR"])
def test_pair_is_not_for_a_household_of_either_visit(code: str) -> None:
    own = Participant.objects.get(group__code=code)
    caller = holder_of(ReviewerFactory.create(participant=own), "review")
    pair = DoublePair.objects.get()

    assert caller.get(DOUBLES).json()["data"] == []
    assert caller.post(f"{DOUBLES}/{pair.pk}/verdict", ONE_VISIT).status_code == 403


def test_pairs_are_read_page_by_page(reviewer: Actor) -> None:
    made = [pair.pk for pair in DoublePairFactory.create_batch(3)]
    DoublePairFactory.create(first__state="withdrawn")

    pages = list(reviewer.pages(f"{DOUBLES}?limit=2"))

    assert [[pair["id"] for pair in page["data"]] for page in pages] == [made[:2], made[2:]]


@pytest.mark.parametrize(
    ("query", "status"), [("after=x", 400), ("limit=0", 400), ("before=1", 400)]
)
def test_list_of_pairs_refuses_what_it_does_not_know(
    reviewer: Actor, query: str, status: int
) -> None:
    assert reviewer.get(f"{DOUBLES}?{query}").status_code == status


def test_unknown_pair_is_not_found_and_unknown_verdict_refused(reviewer: Actor) -> None:
    pair = DoublePairFactory.create()

    assert reviewer.post(f"{DOUBLES}/{pair.pk + 1}/verdict", ONE_VISIT).status_code == 404
    assert reviewer.post(f"{DOUBLES}/{pair.pk}/verdict", {"verdict": "x"}).status_code == 422
