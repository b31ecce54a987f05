"""curl against files, queries and corrections: what HTTP promises, seen by a client of it.

Ranges, conditions and their statuses: RFC 9110 sections 13 and 14. 428 and 429: RFC 6585.
"""

import hashlib
import json
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from email import message_from_bytes
from email.message import Message
from pathlib import Path
from typing import Any

import pytest

from tests.interop.service import ROOT, Service, program, serving_again

SUBMISSIONS, VISITS = "/api/v1/partner/submissions", "/api/v1/partner/visits"
SUBMISSION = ROOT / "fixtures" / "payloads" / "submission.json"


@dataclass(frozen=True)
class Answer:
    """What curl got."""

    status: int
    headers: Message
    body: bytes


@dataclass(frozen=True)
class Curl:
    """curl, with a folder for what it writes."""

    path: str
    folder: Path

    def __call__(self, *arguments: str) -> Answer:
        """Run curl and return the answer."""
        headers, body = self.folder / "headers", self.folder / "body"
        body.write_bytes(b"")
        written = self.run(
            *("--dump-header", str(headers), "--output", str(body)),
            *("--write-out", "%{http_code}", *arguments),
        )
        _, _, fields = headers.read_bytes().partition(b"\r\n")
        return Answer(int(written), message_from_bytes(fields), body.read_bytes())

    def run(self, *arguments: str) -> str:
        """Run curl and return what it prints."""
        ended = subprocess.run(  # noqa: S603 -- a list, no shell
            [self.path, "--silent", "--show-error", *arguments],
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        )
        return ended.stdout


@pytest.fixture
def curl(tmp_path: Path) -> Curl:
    return Curl(program("curl"), tmp_path)


@pytest.fixture(scope="module")
def address(service: Service) -> str:
    """Return the address of a file of a release."""
    return service.file("counts.parquet")


@pytest.fixture(scope="module")
def content(service: Service, address: str) -> bytes:
    return service.download(address)


@pytest.fixture(scope="module")
def sent(practice: Service) -> tuple[str, dict[str, Any]]:
    """Send a visit, and return the group's token with what was sent."""
    submission = json.loads(SUBMISSION.read_text())
    token = practice.token("--group", "QVD", scopes=("read", "submit"))
    practice.json(SUBMISSIONS, token, submission)
    return token, submission["visits"][0]


@pytest.fixture(scope="module")
def limited(service: Service) -> Iterator[Service]:
    """Serve with a limit that is soon reached."""
    with serving_again(service, DRILOSPHERE_OPEN_REQUESTS_PER_MINUTE="5") as running:
        yield running


def test_curl_asks_for_the_head_of_a_file(curl: Curl, address: str, content: bytes) -> None:
    answer = curl("--head", address)

    assert answer.status == 200
    assert answer.headers["Content-Length"] == str(len(content))
    assert answer.headers["Accept-Ranges"] == "bytes"
    assert answer.headers["ETag"] == f'"{hashlib.sha256(content).hexdigest()}"'
    assert answer.headers["Content-Encoding"] is None


@pytest.mark.parametrize(
    ("asked", "first", "last"),
    [("0-99", 0, 99), ("1000-1999", 1000, 1999), ("-262", -262, -1), ("500-", 500, -1)],
    ids=["first", "middle", "suffix", "rest"],
)
def test_curl_gets_a_range(
    curl: Curl, address: str, content: bytes, asked: str, *, first: int, last: int
) -> None:
    answer = curl("--range", asked, address)

    size = len(content)
    first, last = first % size, last % size
    assert answer.status == 206
    assert answer.headers["Content-Range"] == f"bytes {first}-{last}/{size}"
    assert answer.body == content[first : last + 1]


def test_curl_gets_the_whole_file_by_a_longer_suffix(
    curl: Curl, address: str, content: bytes
) -> None:
    answer = curl("--range", f"-{len(content) + 1}", address)

    assert (answer.status, answer.body) == (206, content)


def test_curl_is_refused_a_range_behind_the_end(curl: Curl, address: str, content: bytes) -> None:
    answer = curl("--range", f"{len(content)}-", address)

    assert answer.status == 416
    assert answer.headers["Content-Range"] == f"bytes */{len(content)}"
    assert json.loads(answer.body)["status"] == 416


def test_curl_goes_on_with_a_download_that_broke_off(
    curl: Curl, address: str, content: bytes
) -> None:
    file = curl.folder / "counts.parquet"
    file.write_bytes(content[:1234])

    curl.run("--fail", "--continue-at", "-", "--output", str(file), address)

    assert file.read_bytes() == content


def test_curl_gets_a_range_only_of_the_file_it_knows(
    curl: Curl, address: str, content: bytes
) -> None:
    tag = curl("--head", address).headers["ETag"]

    same = curl("--range", "0-9", "--header", f"If-Range: {tag}", address)
    other = curl("--range", "0-9", "--header", 'If-Range: "of another build"', address)

    assert (same.status, same.body) == (206, content[:10])
    assert (other.status, other.body) == (200, content)


@pytest.mark.parametrize("path", ["/api/v1/pits?limit=3", "/api/v1/summary?by=habitat", "file"])
def test_curl_is_told_that_nothing_changed(
    curl: Curl, service: Service, address: str, path: str
) -> None:
    asked = address if path == "file" else service.base + path
    tag = curl(asked).headers["ETag"]

    known = curl("--header", f"If-None-Match: {tag}", asked)
    unknown = curl("--header", 'If-None-Match: "something else"', asked)

    assert (known.status, known.body, known.headers["ETag"]) == (304, b"", tag)
    assert unknown.status == 200


@pytest.mark.parametrize(
    ("condition", "status", "problem"),
    [
        (("--header", 'If-Match: "7"'), 412, "revision-stale"),
        ((), 428, "revision-missing"),
    ],
)
def test_curl_may_not_correct_a_visit_it_does_not_know(
    curl: Curl,
    practice: Service,
    sent: tuple[str, dict[str, Any]],
    condition: tuple[str, ...],
    *,
    status: int,
    problem: str,
) -> None:
    token, visit = sent
    asked = f"{practice.base}{VISITS}/{visit['client_ref']}"
    bearer = ("--header", f"Authorization: Bearer {token}")
    body = ("--header", "Content-Type: application/json", "--data", json.dumps(visit))
    tag = curl(*bearer, asked).headers["ETag"]

    answer = curl("--request", "PUT", *bearer, *condition, *body, asked)

    assert answer.status == status
    assert answer.headers["Content-Type"].startswith("application/problem+json")
    assert json.loads(answer.body)["type"].endswith(f"/problems/{problem}")
    assert curl(*bearer, asked).headers["ETag"] == tag
    assert status == 428 or answer.headers["ETag"] == tag


def test_curl_is_told_to_wait_when_it_asks_too_often(curl: Curl, limited: Service) -> None:
    answers = [curl(f"{limited.base}/api/v1/groups") for _ in range(6)]

    (refused,) = answers[-1:]
    assert [answer.status for answer in answers[:4]] == [200] * 4  # one more: the start-up's look
    assert refused.status == 429
    assert 0 < int(refused.headers["Retry-After"]) <= 61  # rounded up, never down
    assert refused.headers["RateLimit-Policy"] == '"open";q=5;w=60'
    assert refused.headers["RateLimit"].startswith('"open";r=0;t=')
    assert json.loads(refused.body)["type"].endswith("/problems/too-many-requests")
