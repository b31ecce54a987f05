"""A record that is withdrawn: what is left of it, and where it must be gone (check 24).

The contract: the record's address answers 410 with id, date and reason class only; it stands in
the change list, in no later release and in no file that can still be had; the catalogue protocol
marks a release of which nothing is left as deleted.
"""

import io
import zipfile
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from portal.harvesters.queries import Confirmation, confirmations_of, withdrawal_entry_of
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.models import PublishedCount, PublishedPit
from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.journeys.actors import Actor
from tests.portal.publication.villages import FIRST_AT, release, village, village_group

COLLECTION = {"visit": "visits", "pit": "pits", "occurrence": "counts"}
PROBLEM = {"type", "title", "status", "detail", "instance"}  # RFC 9457
GONE = 410


@dataclass
class Story:
    """The ids of a visit, a pit and a count of it, and what was answered before and after."""

    ids: dict[str, str]
    at_id: dict[str, Any]
    read: list[Any]
    feed: list[dict[str, Any]]
    late_feed: list[dict[str, Any]]
    change_lists: list[dict[str, Any]]
    old_files: list[Any]
    new_files: dict[str, bytes]
    confirmations: list[list[Confirmation]]


@pytest.fixture(scope="module")
def story(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Story:
    """Play the story once and keep the answers; its rows are gone again."""
    files = tmp_path_factory.mktemp("files")
    with django_db_blocker.unblock(), override_settings(MEDIA_ROOT=files), transaction.atomic():
        cache.clear()
        played = _play()
        transaction.set_rollback(True)
    return played


def _play() -> Story:
    homes = village(village_group(), range(6))
    release(1)
    reader = Actor()
    sent = {"name": "Example index", "contact": "index@example.org"}
    harvester = Actor(reader.post("/api/v1/harvesters", sent).json()["token"])
    *_, held = reader.pages("/api/v1/changes?limit=20")
    old_files = reader.get("/api/v1/releases/1").json()["files"]
    gone = Visit.objects.get(pk=homes[0].visit.pk)
    assert gone.public_id is not None
    pit = PublishedPit.objects.filter(visit_id=gone.public_id)[0]
    count = PublishedCount.objects.filter(pit_id=pit.id)[0]
    ids = {"visit": str(gone.public_id), "pit": str(pit.id), "occurrence": str(count.id)}
    withdraw_visits(
        visits=[gone],
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=FIRST_AT + timedelta(days=3),
        by="group QVD",
    )
    feed = reader.rows(f"/api/v1/changes?since={held['meta']['resume']}")
    release(2)
    entry = withdrawal_entry_of(gone.public_id) or 0
    before = confirmations_of(entry)
    *_, last = reader.pages("/api/v1/changes")
    harvester.post("/api/v1/harvesters/me/acknowledgements", {"until": last["meta"]["resume"]})
    return Story(
        ids=ids,
        at_id={kind: reader.get(f"/id/{kind}/{record}") for kind, record in ids.items()},
        read=[
            reader.get(f"/api/v1/{COLLECTION[kind]}/{record}{query}")
            for kind, record in ids.items()
            for query in ("", "?release=1", "?release=2")
        ],
        feed=feed,
        late_feed=reader.rows("/api/v1/changes"),
        change_lists=[reader.get(f"/api/v1/releases/{n}/changes").json() for n in (1, 2)],
        old_files=[reader.get(file["href"]) for file in old_files],
        new_files={
            file["href"]: bytes_of(reader.get(file["href"]))
            for number in (1, 2)
            for file in reader.get(f"/api/v1/releases/{number}").json()["files"]
            if file["available"]
        },
        confirmations=[before, confirmations_of(entry)],
    )


@pytest.mark.parametrize("kind", COLLECTION)
def test_permanent_address_is_gone_but_for_id_day_and_reason_class(story: Story, kind: str) -> None:
    answer = story.at_id[kind]

    assert answer.status_code == GONE
    assert {name: value for name, value in answer.json().items() if name not in PROBLEM} == {
        "id": story.ids[kind],
        "kind": kind,
        "withdrawn_on": "2025-07-03",
        "reason_class": "consent_withdrawn",
    }


def test_record_is_gone_in_every_release_that_held_it(story: Story) -> None:
    assert {answer.status_code for answer in story.read} == {GONE}
    for answer in story.read:
        assert set(answer.json()) <= PROBLEM | {"id", "kind", "withdrawn_on", "reason_class"}


def test_feed_tells_the_withdrawal_at_once_and_nothing_else(story: Story) -> None:
    assert {item["change"] for item in story.feed} == {"withdrawn"}
    assert len(story.feed) == 1 + 2 + 6  # a visit, its pits, its counts
    assert {(kind, record) for kind, record in story.ids.items()} <= {
        (item["kind"], item["id"]) for item in story.feed
    }


def test_late_reader_hears_of_the_record_as_withdrawn_only(story: Story) -> None:
    heard = {
        record: [item["change"] for item in story.late_feed if item["id"] == record]
        for record in story.ids.values()
    }

    assert heard == {record: ["withdrawn"] for record in story.ids.values()}


def test_change_list_of_the_release_that_held_it_names_it(story: Story) -> None:
    first, second = story.change_lists

    assert set(story.ids.values()) <= {stone["id"] for stone in first["withdrawn"]}
    assert second["withdrawn"] == []
    for record in story.ids.values():
        assert record not in str([first["added"], second["added"], second["removed"]])


def test_old_files_are_gone_and_new_ones_do_not_hold_it(story: Story) -> None:
    assert story.old_files
    assert {answer.status_code for answer in story.old_files} == {GONE}
    for href, content in story.new_files.items():
        for record in story.ids.values():
            assert record.encode() not in _unpacked(href, content), href


def test_check_of_files_would_find_a_record_that_stands(story: Story) -> None:
    standing = next(item["id"] for item in story.late_feed if item["change"] == "added")

    holding = [
        href
        for href, content in story.new_files.items()
        if standing.encode() in _unpacked(href, content)
    ]

    assert {href.rpartition("/")[2] for href in holding} >= {"archive.zip", "visits.csv"}


def _unpacked(href: str, content: bytes) -> bytes:
    if not href.endswith(".zip"):
        return content
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return b"".join(packed.read(name) for name in packed.namelist())


def test_harvester_that_applied_the_feed_is_the_proof(story: Story) -> None:
    before, after = story.confirmations

    assert before == [Confirmation("Example index", None)]
    assert [one.harvester for one in after] == ["Example index"]
    assert after[0].confirmed_at is not None
