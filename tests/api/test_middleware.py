"""Slashes, headers for browsers, and what guards the pages."""

from typing import Any

import pytest
from django.test import Client

from tests.api.holders import partner

CORS = {
    "Access-Control-Allow-Origin": "*",
    "Access-Control-Allow-Methods": "GET, HEAD, OPTIONS",
    "Access-Control-Allow-Headers": "Range, If-None-Match",
}

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "address",
    [
        "/api/v1",
        "/api/v1/",
        "/api/v1/status",
        "/api/v1/openapi.json",
        "/api/v1/nothing",
        "/api/v1/visits?colour=red",
        "/files/1/1/archive.zip",
        "/id/visit/17",
    ],
)
def test_open_faces_may_be_read_by_any_web_page(address: str) -> None:
    headers = Client().get(address, headers={"Origin": "https://elsewhere.example"}).headers

    assert {name: headers[name] for name in CORS} == CORS
    assert "Access-Control-Allow-Credentials" not in headers
    assert {"ETag", "Link", "Retry-After"} <= set(
        headers["Access-Control-Expose-Headers"].split(", ")
    )


def test_browser_may_ask_beforehand() -> None:
    answer = Client().options(
        "/api/v1/visits",
        headers={
            "Origin": "https://elsewhere.example",
            "Access-Control-Request-Method": "GET",
            "Access-Control-Request-Headers": "if-none-match",
        },
    )

    assert answer.status_code == 200
    assert answer.headers["Access-Control-Allow-Origin"] == "*"


@pytest.mark.parametrize(
    "address",
    [
        "/api/v1/partner/me",
        "/api/v1/partner/me/",
        "/api/v1/partner/nothing",
        "/api/v1/review/waiting",
        "/api/v1/review/nothing",
    ],
)
def test_closed_faces_are_private_and_closed_to_other_pages(address: str) -> None:
    _, caller = partner()

    for headers in ({}, caller.headers, {"Authorization": "Bearer nonsense"}):
        answer = Client().get(address, headers=headers)
        assert answer.headers["Cache-Control"] == "private, no-store"
        assert "Access-Control-Allow-Origin" not in answer.headers


def test_one_trailing_slash_is_taken_as_none() -> None:
    assert Client().get("/api/v1/status/").status_code == 200
    assert Client().get("/changes/").status_code == 200
    assert Client().get("/api/v1/status//").status_code == 404
    assert Client().get("/").status_code == 200


@pytest.mark.parametrize("address", ["/", "/changes", "/problems/gone", "/api/v1", "/nothing"])
def test_pages_take_scripts_and_frames_from_nowhere_else(address: str) -> None:
    headers = Client().get(address).headers

    policy = headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'self';")
    assert "frame-ancestors 'none'" in policy
    assert "script-src" not in policy  # nothing looser than 'self' for scripts
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"


def test_insecure_requests_are_upgraded_in_production_only(settings: Any) -> None:
    assert "upgrade" not in Client().get("/").headers["Content-Security-Policy"]

    settings.PRODUCTION = True

    assert "upgrade" in Client().get("/").headers["Content-Security-Policy"]
