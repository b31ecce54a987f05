"""Releases and their change lists."""

import json
from typing import Any

import pytest

from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.api.harvest.withdrawing import withdraw
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

KINDS = {"visit": "visits", "pit": "pits", "occurrence": "counts"}

pytestmark = pytest.mark.django_db


def rows_at(reader: Actor, number: int, collection: str) -> dict[str, dict[str, Any]]:
    rows = reader.rows(f"/api/v1/{collection}?release={number}&limit=50")
    return {row["id"]: row for row in rows}


@pytest.mark.usefixtures("three_releases")
def test_releases_are_listed_newest_first(reader: Actor) -> None:
    data = reader.get("/api/v1/releases").json()["data"]

    assert [one["number"] for one in data] == [3, 2, 1]
    assert data[2]["issued_at"] == "2025-06-30T09:00:00Z"
    for one in data:
        for href in filter(None, one["links"].values()):
            assert reader.get(href).status_code == 200


@pytest.mark.usefixtures("three_releases")
def test_release_says_what_it_holds_and_how_it_was_made(reader: Actor) -> None:
    body = reader.get("/api/v1/releases/2").json()

    assert body["rows"] == {"visits": 7, "pits": 14, "counts": 42}
    assert body["generalisation_rules"]["keep_at"] == 3
    assert body["groups"] == [{"code": "QVD", "name": "Quellmoor diggers", "visits": 7}]
    assert [protocol["name"] for protocol in body["protocols"]] == ["contrast-pit/2"]
    assert body["quality"], "the tallies of the data-quality tests"


@pytest.mark.usefixtures("three_releases")
@pytest.mark.parametrize("number", [1, 2, 3])
def test_change_list_is_the_difference_of_the_rows_read(reader: Actor, number: int) -> None:
    changes = reader.get(f"/api/v1/releases/{number}/changes").json()

    assert changes["against"] == (number - 1 or None)
    for kind, collection in KINDS.items():
        now = rows_at(reader, number, collection)
        before = rows_at(reader, number - 1, collection) if number > 1 else {}
        assert changes["added"][kind] == sorted(set(now) - set(before))
        assert changes["removed"][kind] == sorted(set(before) - set(now))
        assert changes["changed"][kind] == sorted(
            key for key in set(now) & set(before) if now[key] != before[key]
        )
    assert changes["withdrawn"] == []


@pytest.mark.usefixtures("three_releases")
def test_change_lists_rebuild_the_rows_of_the_newest_release(reader: Actor) -> None:
    held: set[str] = set()
    for number in (1, 2, 3):
        changes = reader.get(f"/api/v1/releases/{number}/changes").json()
        held |= set(changes["added"]["occurrence"])
        held -= set(changes["removed"]["occurrence"])

    assert held == set(rows_at(reader, 3, "counts"))


def test_change_list_names_what_was_withdrawn_since(
    reader: Actor, three_releases: list[Visit]
) -> None:
    gone = three_releases[6]
    withdraw(gone)

    first, second, third = (
        reader.get(f"/api/v1/releases/{number}/changes").json() for number in (1, 2, 3)
    )

    assert first["withdrawn"] == []
    assert len(second["withdrawn"]) == len(third["withdrawn"]) == 9
    stone = next(one for one in second["withdrawn"] if one["kind"] == "visit")
    assert stone == {
        "id": str(gone.public_id),
        "kind": "visit",
        "withdrawn_on": "2025-06-30",
        "reason_class": "erasure",
    }
    assert str(gone.public_id) not in str(second["added"])


def test_release_without_files_shows_none(reader: Actor) -> None:
    ReleaseFactory.create(number=9)

    body = reader.get("/api/v1/releases/9").json()

    assert (body["files"], body["build"]) == ([], 0)


def test_change_list_is_streamed_a_line_a_change(
    reader: Actor, three_releases: list[Visit]
) -> None:
    withdraw(three_releases[6])
    whole = reader.get("/api/v1/releases/3/changes").json()

    answer = reader.get("/api/v1/releases/3/changes?f=ndjson")
    lines = [json.loads(line) for line in bytes_of(answer).splitlines()]

    assert answer.headers["Content-Type"] == "application/x-ndjson"
    for change in ("added", "changed", "removed"):
        assert [(line["kind"], line["id"]) for line in lines if line["change"] == change] == [
            (kind, record) for kind in KINDS for record in whole[change][kind]
        ]
    assert [line for line in lines if line["change"] == "withdrawn"] == [
        stone | {"change": "withdrawn"} for stone in whole["withdrawn"]
    ]


def test_rebuilt_file_says_why(reader: Actor, three_releases: list[Visit]) -> None:
    withdraw(three_releases[6])

    notes = {
        number: {
            (file["build"], file["note"], file["available"])
            for file in reader.get(f"/api/v1/releases/{number}").json()["files"]
        }
        for number in (1, 2)
    }

    assert notes == {
        1: {(1, None, True)},
        2: {
            (1, None, False),
            (2, "rebuilt without 9 withdrawn records on 2025-06-30", True),
        },
    }
