"""A release never changes: later edits leave its files, rows and checksums alone (check 25)."""

import hashlib
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from surveys.visits.models import Count, Visit
from tests.api.answers import bytes_of
from tests.journeys.actors import Actor
from tests.portal.publication.villages import household, release, village, village_group

QUERIES = ("visits", "pits", "counts", "occurrences")


@dataclass
class Seen:
    """What a reader was given of the first release at one time."""

    release: dict[str, Any]
    files: dict[str, bytes]
    rows: dict[str, list[dict[str, Any]]]
    changes: dict[str, Any]


@dataclass
class Story:
    """The first release as seen before and after live data were edited and released again."""

    before: Seen
    after: Seen
    second: Seen


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
    group = village_group()
    homes = village(group, range(6))
    release(1)
    before = _seen(1)
    Visit.objects.filter(pk=homes[0].visit.pk).update(people_digging=9)
    Visit.objects.filter(pk=homes[1].visit.pk).update(state="in_review")
    Count.objects.filter(phase__pit__visit=homes[2].visit, number__gt=0).update(number=77)
    household(group, 6)
    release(2)
    return Story(before, _seen(1), _seen(2))


def _seen(number: int) -> Seen:
    reader = Actor()
    shown = reader.get(f"/api/v1/releases/{number}").json()
    return Seen(
        release=shown,
        files={file["href"]: bytes_of(reader.get(file["href"])) for file in shown["files"]},
        rows={name: reader.rows(f"/api/v1/{name}?release={number}") for name in QUERIES},
        changes=reader.get(f"/api/v1/releases/{number}/changes").json(),
    )


def test_files_and_checksums_stay_as_they_were(story: Story) -> None:
    assert story.before.release["files"]
    assert story.after.release["files"] == story.before.release["files"]
    assert story.after.files == story.before.files
    for file in story.after.release["files"]:
        assert hashlib.sha256(story.after.files[file["href"]]).hexdigest() == file["sha256"]


def test_rows_and_change_list_stay_as_they_were(story: Story) -> None:
    assert story.after.rows == story.before.rows
    assert story.after.changes == story.before.changes


def test_edits_are_in_the_next_release(story: Story) -> None:
    """The checks above must have something to check."""
    changes = story.second.changes

    for kind in ("visit", "pit", "occurrence"):
        assert changes["added"][kind]
        assert changes["changed"][kind]
        assert changes["removed"][kind]


def test_versions_are_linked_both_ways(story: Story) -> None:
    first, second = story.after.release["links"], story.second.release["links"]

    assert (first["predecessor_version"], second["successor_version"]) == (None, None)
    assert first["successor_version"] == second["self"] == first["latest_version"]
    assert second["predecessor_version"] == first["self"]
    assert story.before.release["links"]["successor_version"] is None
