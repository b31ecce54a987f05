"""Whole-release files: whole, in parts, or not at all.

What a range, a condition and their refusal look like: RFC 9110, sections 13 to 15.
"""

import hashlib
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils.http import http_date

from portal.records.models import ReleaseFile
from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.api.harvest.withdrawing import withdraw
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

CONTENT = bytes(range(256)) * 40
SIZE = len(CONTENT)
ETAG = f'"{hashlib.sha256(CONTENT).hexdigest()}"'
ADDRESS = "/files/9/1/a.zip"

pytestmark = pytest.mark.django_db


@pytest.fixture
def file(db: None) -> ReleaseFile:  # noqa: ARG001 -- the database is needed
    """Return a file of known bytes."""
    release = ReleaseFactory.create(number=9)
    made = ReleaseFile.objects.create(
        release=release,
        build=1,
        name="a.zip",
        media_type="application/zip",
        size_bytes=SIZE,
        sha256=ETAG.strip('"'),
        built_at=release.issued_at + timedelta(microseconds=5),
    )
    default_storage.save(made.storage_name, ContentFile(CONTENT))
    return made


@pytest.mark.usefixtures("file")
@pytest.mark.parametrize(
    ("asked", "first", "last"),
    [
        ("bytes=0-99", 0, 99),
        ("bytes=100-", 100, SIZE - 1),
        ("bytes=-100", SIZE - 100, SIZE - 1),
        ("bytes=-262144", 0, SIZE - 1),
        (f"bytes=5-{SIZE * 2}", 5, SIZE - 1),
        ("Bytes=7-7", 7, 7),
    ],
)
def test_range_of_bytes_is_answered(reader: Actor, asked: str, first: int, last: int) -> None:
    answer = reader.get(ADDRESS, Range=asked, **{"Accept-Encoding": "gzip"})

    assert bytes_of(answer) == CONTENT[first : last + 1]
    assert answer.status_code == 206
    assert answer.headers["Content-Range"] == f"bytes {first}-{last}/{SIZE}"
    assert answer.headers["Content-Length"] == str(last + 1 - first)
    assert answer.headers["ETag"] == ETAG
    assert answer.headers["Content-Type"] == "application/zip"
    assert "Content-Encoding" not in answer.headers


@pytest.mark.usefixtures("file")
@pytest.mark.parametrize("asked", ["bytes=0-9,20-29", "bytes=9-0", "lines=1-2", "bytes=a-b", ""])
def test_what_is_no_single_range_is_answered_whole(reader: Actor, asked: str) -> None:
    answer = reader.get(ADDRESS, Range=asked)

    assert bytes_of(answer) == CONTENT
    assert answer.status_code == 200
    assert "Content-Range" not in answer.headers
    assert answer.headers["Accept-Ranges"] == "bytes"
    assert "no-transform" in answer.headers["Cache-Control"]


@pytest.mark.usefixtures("file")
@pytest.mark.parametrize("asked", [f"bytes={SIZE}-", "bytes=-0", f"bytes={SIZE}-,{SIZE + 9}-"])
def test_range_behind_the_end_is_refused_with_the_size(reader: Actor, asked: str) -> None:
    answer = reader.get(ADDRESS, Range=asked)

    assert answer.status_code == 416
    assert answer.headers["Content-Range"] == f"bytes */{SIZE}"
    assert answer.json()["type"].endswith("/problems/range-not-satisfiable")


@pytest.mark.parametrize(
    ("condition", "status"),
    [
        (ETAG, 206),
        (f"W/{ETAG}", 200),
        ('"other"', 200),
        ("BUILT", 206),
        ("Mon, 30 Jun 2025 08:00:00 GMT", 200),
        ("yesterday", 200),
    ],
)
def test_range_is_answered_only_of_the_file_that_the_caller_means(
    reader: Actor, file: ReleaseFile, condition: str, status: int
) -> None:
    condition = condition.replace("BUILT", http_date(file.built_at.timestamp()))

    answer = reader.get(ADDRESS, Range="bytes=0-1", **{"If-Range": condition})
    bytes_of(answer)

    assert answer.status_code == status


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"If-None-Match": ETAG}, 304),
        ({"If-None-Match": f'"other", W/{ETAG}'}, 304),
        ({"If-None-Match": "*"}, 304),
        ({"If-None-Match": '"other"'}, 200),
        ({"If-Modified-Since": "BUILT"}, 304),
        ({"If-Modified-Since": "Mon, 30 Jun 2025 08:59:59 GMT"}, 200),
        ({"If-Modified-Since": "BUILT", "If-None-Match": '"other"'}, 200),
        ({"If-Match": ETAG}, 200),
        ({"If-Match": '"other"'}, 412),
        ({"If-Unmodified-Since": "Mon, 30 Jun 2025 08:59:59 GMT"}, 412),
        ({"If-None-Match": ETAG, "Range": "bytes=0-1"}, 304),
    ],
)
def test_conditions_are_kept(
    reader: Actor, file: ReleaseFile, headers: dict[str, str], status: int
) -> None:
    built = http_date(file.built_at.timestamp())

    answer = reader.get(ADDRESS, **{k: v.replace("BUILT", built) for k, v in headers.items()})
    content = bytes_of(answer)

    assert answer.status_code == status
    if status == 304:
        assert content == b""
        assert (answer.headers["ETag"], answer.headers["Last-Modified"]) == (ETAG, built)
    if status == 412:
        assert answer.headers["Content-Type"] == "application/problem+json"


@pytest.mark.usefixtures("file")
def test_head_says_how_large_the_whole_file_is(reader: Actor) -> None:
    answer = reader.client.head(ADDRESS, headers={"Range": "bytes=0-9"})

    assert (answer.status_code, bytes_of(answer)) == (200, b"")
    assert answer.headers["Content-Length"] == str(SIZE)
    assert answer.headers["Accept-Ranges"] == "bytes"


@pytest.mark.usefixtures("file")
def test_unknown_parameter_is_refused(reader: Actor) -> None:
    assert reader.get(f"{ADDRESS}?part=1").status_code == 400


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
