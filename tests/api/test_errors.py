"""Whatever goes wrong is answered as a problem document (RFC 9457) that gives nothing away."""

import json
from typing import Any
from uuid import UUID

import pytest
from django.test import Client

from api.errors import ERRORS_INLINE, PROBLEMS, problem_document, problem_response, with_docs
from tests.api.holders import SUBMISSIONS, partner
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

MEDIA_TYPE = "application/problem+json"
OPEN_ADDRESSES = (
    "/api/v1",
    "/api/v1/visits",
    "/api/v1/visits/7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11",
    "/api/v1/occurrences",
    "/api/v1/summary",
    "/api/v1/fields/habitat",
    "/api/v1/status",
    "/api/v1/releases",
    "/api/v1/releases/1/changes",
    "/files/1/1/archive.zip",
    "/id/visit/7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11",
)
SECRET = "recorder Mara Quill, 52.8812345 -0.7234567"  # noqa: S105 -- planted to be looked for

pytestmark = pytest.mark.django_db


def problem(answer: Any, status: int, code: str) -> dict[str, Any]:
    """Read a problem document and see that it is whole."""
    assert answer.status_code == status
    assert answer.headers["Content-Type"] == MEDIA_TYPE
    body: dict[str, Any] = json.loads(answer.content)
    assert body["type"] == f"http://localhost:8000/problems/{code}"
    assert body["status"] == status
    assert body["title"] == PROBLEMS[code][1]
    assert body["detail"]
    UUID(body["instance"].removeprefix("urn:uuid:"))
    return body


@pytest.mark.parametrize("code", PROBLEMS)
def test_every_problem_is_whole_and_an_error(code: str) -> None:
    status, title, meaning, fix = PROBLEMS[code]

    document = problem_document(code)

    assert 400 <= status <= 599
    assert document["status"] == status
    assert all(text.strip() for text in (title, meaning, fix))
    assert set(document) == {"type", "title", "status", "detail", "instance"}


@pytest.mark.parametrize(
    "address",
    [
        "/nothing",
        "/api/v1/nothing",
        "/api/v2/visits",
        "/api/v1/visits/17",
        "/api/v1/partner",
        "/api/v1/partner/nothing",
        "/api/v1//visits",
        "/problems/nothing",
        "/releases/1",
        "/releases/first",
        "/protocols/contrast-pit/9",
        "/files/1/1/archive.zip",
        "/files/99999999999999999999/1/archive.zip",
        "/files/1/99999999999999999999/archive.zip",
        "/files/1/1/..%2f..%2fsettings.py",
        "/files/1/1/a%00b",
        "/id/visit/7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11",
        "/id/vis%00it/7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11",
        "/api/v1/releases/99999999999999999999",
        "/api/v1/releases/99999999999999999999/changes",
        "/api/v1/fields/a%00b",
        "/admin",
    ],
)
def test_unknown_address_is_not_found(address: str) -> None:
    body = problem(Client().get(address), 404, "not-found")

    assert "%00" not in str(body)


@pytest.mark.parametrize("address", ["/nothing", "/api/v1/nothing", "/api/v1/visits/17"])
def test_unknown_address_is_a_problem_for_browsers_too(address: str) -> None:
    answer = Client().get(address, headers={"Accept": "text/html,*/*;q=0.1"})

    problem(answer, 404, "not-found")


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
@pytest.mark.parametrize("address", [*OPEN_ADDRESSES, "/docs"])
def test_open_address_takes_no_other_method(address: str, method: str) -> None:
    answer = getattr(Client(enforce_csrf_checks=True), method)(address)

    problem(answer, 405, "method-not-allowed")
    allowed = {name.strip() for name in answer.headers["Allow"].split(",")}
    assert {"GET", "HEAD"} <= allowed
    assert allowed <= {"GET", "HEAD", "OPTIONS"}


@pytest.mark.parametrize(
    "address", ["/", "/releases/1", "/problems/gone", "/changes", "/api/v1/openapi.json"]
)
def test_form_from_elsewhere_is_refused_as_a_problem(address: str) -> None:
    answer = Client(enforce_csrf_checks=True).post(address, {"a": "b"})

    problem(answer, 403, "not-allowed")


def test_options_says_what_is_allowed() -> None:
    answer = Client().options("/api/v1/visits")

    assert answer.status_code == 200
    assert answer.headers["Access-Control-Allow-Methods"] == "GET, HEAD, OPTIONS"


def test_format_that_is_not_there_is_406() -> None:
    body = problem(Actor().get("/api/v1/status", Accept="text/html"), 406, "format-not-available")

    assert body["available"] == ["json"]


def test_body_of_another_type_is_415() -> None:
    _, caller = partner()

    for content_type in ("text/plain", "application/xml", "multipart/form-data; boundary=x"):
        answer = caller.client.post(
            SUBMISSIONS, "{}", content_type=content_type, headers=caller.headers
        )
        problem(answer, 415, "body-type-not-taken")


def test_body_over_the_limit_is_413_and_names_it(settings: Any) -> None:
    _, caller = partner()
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100

    answer = caller.post(SUBMISSIONS, {"visits": ["x" * 200]})

    assert "100 bytes" in problem(answer, 413, "too-large")["detail"]
    just_fits = b'{"visits": ["' + b"x" * 85 + b'"]}'
    assert len(just_fits) == 101
    answer = caller.client.post(
        SUBMISSIONS, just_fits[:-3] + b"]}", content_type="application/json", headers=caller.headers
    )
    assert answer.status_code != 413


@pytest.mark.parametrize(
    "body", [b"", b"{", b"\xff", b'{"a": NaN}', b'{"a": 1, "a": 2}', b"[" * 50 + b"]" * 50]
)
def test_body_that_is_no_json_is_400(body: bytes) -> None:
    _, caller = partner()

    answer = caller.client.post(
        SUBMISSIONS, body, content_type="application/json", headers=caller.headers
    )

    document = problem(answer, 400, "body-not-json")
    assert document["errors"][0]["code"] == "body-not-json"


def test_missing_token_is_401_with_a_challenge() -> None:
    answer = Actor().get("/api/v1/partner/me")

    problem(answer, 401, "token-missing")
    assert answer.headers["WWW-Authenticate"] == 'Bearer realm="drilosphere"'


def test_missing_scope_is_403_and_named() -> None:
    _, caller = partner()

    body = problem(caller.get("/api/v1/review/waiting"), 403, "scope-missing")

    assert body["detail"] == "This address is for a reviewer's token."


def test_unknown_host_is_400() -> None:
    problem(Client(headers={"Host": "evil.example"}).get("/api/v1"), 400, "bad-request")


def test_more_parameters_than_allowed_are_400() -> None:
    query = "&".join(f"a{number}=1" for number in range(1100))

    problem(Client().get(f"/api/v1/visits?{query}"), 400, "bad-request")


@pytest.mark.parametrize(
    ("address", "broken"),
    [
        ("/api/v1", "api.open.about.current_release"),
        ("/api/v1/releases", "api.harvest.releases.brief"),
        ("/", "portal.pages.views.current_release"),
        ("/problems/gone", "api.problem_pages.problem_document"),
    ],
)
def test_unforeseen_error_is_500_without_its_cause(
    monkeypatch: pytest.MonkeyPatch, address: str, broken: str
) -> None:
    ReleaseFactory.create(number=1)

    def fail(*_: Any) -> None:
        raise RuntimeError(SECRET)

    monkeypatch.setattr(broken, fail)

    answer = Client(raise_request_exception=False).get(address)

    problem(answer, 500, "server-error")
    said = answer.content.decode() + str(answer.headers)
    assert "Mara" not in said
    assert "RuntimeError" not in said
    assert "Traceback" not in said


def test_error_that_is_no_matter_of_the_caller_is_left_to_the_500_page() -> None:
    assert problem_response(ValueError(SECRET), {}) is None


def test_faults_beyond_the_limit_are_cut_and_said_to_be() -> None:
    fault = {"pointer": "", "code": "count-out-of-range", "severity": "error", "message": "."}

    members = with_docs([fault] * (ERRORS_INLINE + 1))

    assert len(members["errors"]) == ERRORS_INLINE == 500
    assert members["errors_truncated"] is True
    assert members["errors"][0]["docs"] == "http://localhost:8000/problems/count-out-of-range"
    assert "errors_truncated" not in with_docs([fault] * ERRORS_INLINE)
