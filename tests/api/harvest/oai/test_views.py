"""The address by HTTP: both methods, limits, and what lies outside the protocol."""

from typing import Any

import pytest
from django.test import Client

from tests.api.harvest.oai.scenes import OAI, error_of, headers_of, issue, read

pytestmark = pytest.mark.django_db
FORM = "application/x-www-form-urlencoded"


def post(body: str, query: str = "", content_type: str = FORM) -> Any:
    return Client(enforce_csrf_checks=True).generic(
        "POST", f"/oai{query}", body, content_type=content_type
    )


def test_post_answers_as_get_does() -> None:
    issue(1)
    query = "verb=ListRecords&metadataPrefix=oai_dc"

    by_get, by_post = read(Client().get(f"/oai?{query}")), read(post(query))

    assert headers_of(by_post) == headers_of(by_get) != []
    assert dict(by_post[1].attrib) == dict(by_get[1].attrib)


@pytest.mark.parametrize("charset", ["", "; charset=utf-8", "; charset=nonsense"])
def test_post_takes_a_form_whatever_it_says_of_its_charset(charset: str) -> None:
    root = read(post("verb=Identify", content_type=FORM + charset))

    assert root.find(f"{OAI}Identify") is not None


@pytest.mark.parametrize(
    ("body", "query", "code"),
    [
        ("", "", "badVerb"),
        ("verb=Identify", "?verb=Identify", "badVerb"),
        ("verb=ListSets", "?colour=red", "badArgument"),
        ("verb=ListRecords&metadataPrefix=eml", "?metadataPrefix=eml", "badArgument"),
    ],
)
def test_arguments_of_body_and_address_count_together(body: str, query: str, code: str) -> None:
    assert error_of(read(post(body, query))) == code


def test_get_without_arguments_is_a_bad_verb() -> None:
    assert error_of(read(Client().get("/oai"))) == "badVerb"
    assert error_of(read(Client().get("/oai/"))) == "badVerb"


@pytest.mark.parametrize(
    "query",
    ["verb=%00", "verb=Identify&%00=1", "verb=%ff%fe", "verb=%ef%bf%bf", "=", "&"],
)
def test_odd_bytes_are_an_error_of_the_protocol(query: str) -> None:
    assert error_of(read(Client().get(f"/oai?{query}"))) in {"badVerb", "badArgument"}


@pytest.mark.parametrize("content_type", ["application/json", "multipart/form-data", "text/xml"])
def test_other_bodies_are_not_taken(content_type: str) -> None:
    answer = post("verb=Identify", content_type=content_type)

    assert answer.status_code == 415
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_huge_body_is_not_taken(settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100

    assert post(f"verb=Identify&x={'x' * 100}").status_code == 413


@pytest.mark.parametrize("method", ["put", "patch", "delete"])
def test_other_methods_are_refused(method: str) -> None:
    answer = getattr(Client(), method)("/oai?verb=Identify")

    assert answer.status_code == 405
    assert {"GET", "POST"} <= set(answer.headers["Allow"].split(", "))


def test_head_has_no_body() -> None:
    answer = Client().head("/oai?verb=Identify")

    assert (answer.status_code, answer.content) == (200, b"")


def test_limit_is_that_of_the_open_faces(settings: Any) -> None:
    settings.OPEN_REQUESTS_PER_MINUTE = 2
    client = Client()

    found = [
        client.get("/api/v1/releases").status_code,
        client.get("/oai?verb=Identify").status_code,
    ]
    refused = client.get("/oai?verb=Identify")

    assert found == [200, 200]
    assert refused.status_code == 429
    assert 1 <= int(refused.headers["Retry-After"]) <= 61


def test_answer_carries_the_headers_of_every_answer() -> None:
    answer = Client().get("/oai?verb=Identify")

    assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["X-Frame-Options"] == "DENY"


def test_accept_makes_no_difference() -> None:
    root = read(Client().get("/oai?verb=Identify", headers={"Accept": "application/json"}))

    assert root.find(f"{OAI}Identify") is not None


def test_address_is_not_in_the_description_of_the_json_api() -> None:
    assert "/oai" not in Client().get("/api/v1/openapi.json").json()["paths"]
