"""Releases, their change lists and files, and permanent addresses."""

import hashlib
from typing import Any
from uuid import UUID, uuid4

import pytest

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, ReleaseFile
from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor
from tests.portal.publication.villages import (
    FIRST_AT,
    household,
    release,
    village,
    village_group,
)

KINDS = {"visit": "visits", "pit": "pits", "occurrence": "counts"}

pytestmark = pytest.mark.django_db


@pytest.fixture
def reader() -> Actor:
    """Return somebody without a token."""
    return Actor()


@pytest.fixture
def three_releases(db: None) -> list[Visit]:  # noqa: ARG001 -- the database is needed
    """Make three releases: one joins at the second, one changes and one leaves at the third."""
    group = village_group(named_publicly=True)
    homes = village(group, range(6))
    release(1)
    homes.append(household(group, 6))
    release(2)
    Visit.objects.filter(pk=homes[0].visit.pk).update(people_digging=7)
    Visit.objects.filter(pk=homes[1].visit.pk).update(state="in_review")
    release(3)
    return list(Visit.objects.order_by("id"))


def withdraw(visit: Visit) -> None:
    withdraw_visits(visits=[visit], reason_class=ReasonClass.ERASURE, at=FIRST_AT, by="group QVD")


def rows_at(reader: Actor, number: int, collection: str) -> dict[str, dict[str, Any]]:
    rows = reader.rows(f"/api/v1/{collection}?release={number}&limit=50")
    return {row["id"]: row for row in rows}


@pytest.mark.usefixtures("three_releases")
def test_releases_are_listed_newest_first(reader: Actor) -> None:
    data = reader.get("/api/v1/releases").json()["data"]

    assert [one["number"] for one in data] == [3, 2, 1]
    assert data[2]["issued_at"] == "2025-06-30T09:00:00Z"
    for one in data:
        for href in one["links"].values():
            assert reader.get(href).status_code == 200


def test_no_release_is_an_empty_list(reader: Actor) -> None:
    assert reader.get("/api/v1/releases").json() == {"data": []}
    assert reader.get("/api/v1/releases/1").status_code == 404
    assert reader.get("/api/v1/releases/1/changes").status_code == 404


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


@pytest.mark.usefixtures("three_releases")
def test_file_is_what_the_release_says_of_it(reader: Actor) -> None:
    files = reader.get("/api/v1/releases/3").json()["files"]

    assert "archive.zip" in {file["name"] for file in files}
    for file in files:
        answer = reader.get(file["href"])
        content = bytes_of(answer)
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == file["media_type"]
        assert int(answer.headers["Content-Length"]) == file["bytes"] == len(content)
        assert hashlib.sha256(content).hexdigest() == file["sha256"]
        assert answer.headers["ETag"] == f'"{file["sha256"]}"'
        assert answer.headers["Content-Disposition"] == (
            f'attachment; filename="release-3-1-{file["name"]}"'
        )


@pytest.mark.usefixtures("three_releases")
@pytest.mark.parametrize("accept", ["application/zip", "*/*", "text/html", "application/json"])
def test_file_answers_whatever_is_accepted(reader: Actor, accept: str) -> None:
    answer = reader.get("/files/3/1/archive.zip", Accept=accept)
    bytes_of(answer)

    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/zip")


@pytest.mark.usefixtures("three_releases")
def test_file_that_the_caller_holds_is_not_sent_again(reader: Actor) -> None:
    etag = f'"{ReleaseFile.objects.get(release=3, name="archive.zip").sha256}"'

    unchanged = reader.get("/files/3/1/archive.zip", **{"If-None-Match": etag})
    head = reader.client.head("/files/3/1/archive.zip")

    assert (unchanged.status_code, unchanged.content) == (304, b"")
    assert unchanged.headers["ETag"] == head.headers["ETag"] == etag
    assert head.status_code == 200
    assert bytes_of(head) == b""


def test_build_with_withdrawn_records_is_gone(reader: Actor, three_releases: list[Visit]) -> None:
    etag = f'"{ReleaseFile.objects.get(release=3, name="archive.zip").sha256}"'
    withdraw(three_releases[2])

    for headers in ({}, {"If-None-Match": etag}, {"If-None-Match": "*"}, {"Range": "bytes=0-9"}):
        answer = reader.get("/files/3/1/archive.zip", **headers)
        assert answer.status_code == 410
        assert answer.json()["release"] == "http://localhost:8000/api/v1/releases/3"
        assert "ETag" not in answer.headers
    files = reader.get("/api/v1/releases/3").json()["files"]
    assert {(file["build"], file["available"]) for file in files} == {(1, False), (2, True)}
    for file in files:
        if file["available"]:
            standing = reader.get(file["href"])
            assert (standing.status_code, len(bytes_of(standing))) == (200, file["bytes"])


@pytest.mark.usefixtures("three_releases")
@pytest.mark.parametrize(
    "address",
    ["/files/3/2/archive.zip", "/files/4/1/archive.zip", "/files/3/1/nothing.zip", "/files/0/0/a"],
)
def test_file_that_never_was_is_not_found(reader: Actor, address: str) -> None:
    assert reader.get(address).status_code == 404


def public_ids(visit: Visit) -> dict[str, UUID | None]:
    visit_id = UUID(str(visit.public_id))
    pit = PublishedPit.objects.filter(visit_id=visit_id)[0]
    count = PublishedCount.objects.filter(pit_id=pit.id)[0]
    return {
        "visit": visit.public_id,
        "pit": pit.id,
        "occurrence": count.id,
        "site": visit.site.public_id,
        "phase": count.phase_id,
    }


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence", "site", "phase"])
def test_permanent_address_leads_to_the_record(
    reader: Actor, three_releases: list[Visit], kind: str
) -> None:
    wanted = public_ids(three_releases[0])[kind]

    answer = reader.get(f"/id/{kind}/{wanted}", Accept="text/html")
    found = reader.get(answer.headers["Location"])

    assert answer.status_code == 303
    assert answer.headers["Location"].startswith("http://localhost:8000/api/v1/")
    assert found.status_code == 200
    data = found.json()["data"]
    assert data
    assert str(wanted) in str(data)


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence"])
def test_permanent_address_of_a_withdrawn_record_is_gone(
    reader: Actor, three_releases: list[Visit], kind: str
) -> None:
    ids = public_ids(three_releases[0])
    withdraw(three_releases[0])

    answer = reader.get(f"/id/{kind}/{ids[kind]}")

    assert answer.status_code == 410
    assert answer.json()["id"] == str(ids[kind])
    assert answer.json()["reason_class"] == "erasure"


def test_permanent_address_of_a_withdrawn_place_is_not_found(
    reader: Actor, three_releases: list[Visit]
) -> None:
    ids = public_ids(three_releases[0])
    withdraw(three_releases[0])

    assert reader.get(f"/id/site/{ids['site']}").status_code == 404
    assert reader.get(f"/id/phase/{ids['phase']}").status_code == 404


@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence", "site", "phase"])
def test_permanent_address_leads_to_the_last_release_that_held_the_record(
    reader: Actor, three_releases: list[Visit], kind: str
) -> None:
    removed = public_ids(three_releases[1])[kind]

    answer = reader.get(f"/id/{kind}/{removed}")
    found = reader.get(answer.headers["Location"])

    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("release=2")
    assert str(removed) in str(found.json()["data"])


def test_permanent_address_of_a_hidden_record_is_not_found(
    reader: Actor, three_releases: list[Visit]
) -> None:
    ids = public_ids(three_releases[0])
    for model in (PublishedVisit, PublishedPit, PublishedCount):
        model.objects.update(hidden=True)

    assert {reader.get(f"/id/{kind}/{ids[kind]}").status_code for kind in ids} == {404}


@pytest.mark.usefixtures("three_releases")
@pytest.mark.parametrize("kind", ["visit", "pit", "occurrence", "site", "phase", "household", "x"])
def test_permanent_address_of_nothing_is_not_found(reader: Actor, kind: str) -> None:
    unknown = reader.get(f"/id/{kind}/{uuid4()}")
    of_another_kind = reader.get(f"/id/{kind}/{PublishedVisit.objects.order_by('id')[0].id}")

    assert unknown.status_code == 404
    assert of_another_kind.status_code == (303 if kind == "visit" else 404)


def test_private_id_is_as_unknown_as_none(reader: Actor, three_releases: list[Visit]) -> None:
    """A visit that is not published has no public id at all."""
    reopened = three_releases[1]
    del reopened
    late = household(village_group(code="LATE"), 30).visit

    assert late.public_id is None
    assert reader.get(f"/id/visit/{uuid4()}").status_code == 404


def test_release_without_files_shows_none(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    body = reader.get("/api/v1/releases/1").json()

    assert (body["files"], body["build"]) == ([], 0)
