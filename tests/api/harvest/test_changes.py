"""The feed of changes over HTTP."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core import signing

from api.harvest.tokens import SALT, read_token, token_of
from portal.records.changes import KIND_ORDER, Position
from portal.records.models import PublishedVisit
from portal.records.operations import add_entry
from tests.factories.published import (
    PublishedVisitFactory,
    ReleaseFactory,
    TombstoneFactory,
)
from tests.journeys.actors import Actor

FEED = "/api/v1/changes"

pytestmark = pytest.mark.django_db


def issue(number: int, *, visits: int) -> list[str]:
    """Make a release that adds visits; return their ids in order."""
    release = ReleaseFactory.create(number=number)
    add_entry(at=release.issued_at, release=release)
    made = PublishedVisitFactory.create_batch(visits, since_release=number)
    return sorted(str(visit.id) for visit in made)


def test_feed_before_the_first_release_can_be_resumed(reader: Actor) -> None:
    empty = reader.get(FEED).json()
    ids = issue(1, visits=1)

    assert (empty["data"], empty["links"]["next"], empty["meta"]["release"]) == ([], None, None)
    later = reader.get(f"{FEED}?since={empty['meta']['resume']}").json()
    assert [item["id"] for item in later["data"]] == ids


def test_items_say_what_happened_to_which_record_and_when(reader: Actor) -> None:
    (added,) = issue(1, visits=1)
    stone = TombstoneFactory.create()

    body = reader.get(FEED).json()

    assert body["data"] == [
        {
            "kind": "visit",
            "id": added,
            "change": "added",
            "release": 1,
            "at": "2025-06-30T09:00:00Z",
        },
        {
            "kind": "visit",
            "id": str(stone.id),
            "change": "withdrawn",
            "release": None,
            "at": "2025-07-03T14:00:00Z",
            "withdrawn_on": "2025-07-03",
            "reason_class": "double",
        },
    ]
    assert body["page"] == {"returned": 2}
    assert body["meta"]["citation"].startswith("Example Soil Survey Consortium (2025).")


def test_pages_are_followed_by_links_and_resumed_by_the_token(reader: Actor) -> None:
    ids = issue(1, visits=5)

    pages = list(reader.pages(f"{FEED}?limit=2"))

    assert [len(page["data"]) for page in pages] == [2, 2, 1]
    assert [item["id"] for page in pages for item in page["data"]] == ids
    first = reader.get(f"{FEED}?limit=2")
    assert first.headers["Link"] == f'<{first.json()["links"]["next"]}>; rel="next"'
    assert first.headers["Cache-Control"] == "no-cache"
    resume = pages[-1]["meta"]["resume"]
    assert reader.rows(f"{FEED}?since={resume}") == []
    again = issue(2, visits=2)
    assert [item["id"] for item in reader.rows(f"{FEED}?since={resume}")] == again


def test_withdrawal_between_two_pages_is_told_and_what_it_took_is_not(reader: Actor) -> None:
    ids = issue(1, visits=4)
    page = reader.get(f"{FEED}?limit=1").json()
    PublishedVisit.objects.filter(id__in=[ids[0], ids[3]]).delete()
    for gone in (ids[0], ids[3]):
        TombstoneFactory.create(id=gone)

    rest = reader.rows(page["links"]["next"])

    assert [(item["id"], item["change"]) for item in rest] == [
        (ids[1], "added"),
        (ids[2], "added"),
        (ids[0], "withdrawn"),
        (ids[3], "withdrawn"),
    ]


@pytest.mark.parametrize(
    "query",
    [
        "since=garbage",
        "since=",
        "limit=0",
        "limit=x",
        "limit=-1",
        "colour=red",
        "f=csv",
        "cursor=x",
    ],
)
def test_what_is_not_understood_is_refused(reader: Actor, query: str) -> None:
    answer = reader.get(f"{FEED}?{query}")

    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_limit_above_the_most_is_lowered(reader: Actor) -> None:
    issue(1, visits=1)

    assert "limit=1000" in reader.get(f"{FEED}?limit=99999").json()["links"]["self"]


@pytest.mark.parametrize(
    "position",
    [
        Position(),
        Position(1, 0),
        Position(1, 2, uuid4()),
        Position(1, 1, UUID(int=0)),
        Position(1),
    ],
)
def test_token_is_read_as_the_position_it_was_made_of(position: Position) -> None:
    issue(1, visits=0)

    assert read_token(token_of(position)) == position
    assert token_of(position) == token_of(position)
    assert KIND_ORDER == ("visit", "pit", "occurrence"), "tokens hold these words for ever"


@pytest.mark.parametrize(
    ("made_of", "salt"),
    [
        ([1, "visit", ""], "api.cursor"),
        ([2, "", ""], SALT),
    ],
)
def test_token_of_something_else_is_refused(reader: Actor, made_of: Any, salt: str) -> None:
    issue(1, visits=1)
    token = signing.Signer(salt=salt).sign_object(made_of)

    answer = reader.get(f"{FEED}?since={token}")

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/problems/cursor-invalid")


def test_changed_token_is_refused(reader: Actor) -> None:
    issue(1, visits=1)
    token = reader.get(FEED).json()["meta"]["resume"]

    assert (
        reader.get(f"{FEED}?since={token[:-1]}{'A' if token[-1] != 'A' else 'B'}").status_code
        == 400
    )
