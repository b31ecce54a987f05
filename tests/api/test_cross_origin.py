"""Pages of listed origins may call the partner face from a browser, others may not (CORS)."""

from typing import Any

import pytest
from django.test import Client

from tests.api.holders import partner

LISTED = "https://forms.example"
ME = "/api/v1/partner/me"
CLOSED = ["/api/v1/review/waiting", "/api/v1/vetted/sites", "/api/v1/harvesters/me"]

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _one_origin(settings: Any) -> None:
    settings.PARTNER_ORIGINS = frozenset({LISTED})


def asked(address: str, origin: str) -> Any:
    """Ask beforehand, as a browser does: without a token."""
    return Client().options(
        address,
        headers={
            "Origin": origin,
            "Access-Control-Request-Method": "PUT",
            "Access-Control-Request-Headers": "authorization,if-match",
        },
    )


def test_browser_of_a_listed_origin_may_ask_beforehand_without_a_token() -> None:
    answer = asked("/api/v1/partner/visits/A-1", LISTED)

    assert (answer.status_code, answer.content) == (204, b"")
    assert answer.headers["Access-Control-Allow-Origin"] == LISTED
    assert "PUT" in answer.headers["Access-Control-Allow-Methods"].split(", ")
    allowed = {name.lower() for name in answer.headers["Access-Control-Allow-Headers"].split(", ")}
    assert {"authorization", "content-type", "if-match", "idempotency-key"} <= allowed
    assert "Origin" in answer.headers["Vary"]
    assert "Access-Control-Allow-Credentials" not in answer.headers


def test_page_of_a_listed_origin_may_read_answers_and_faults() -> None:
    _, caller = partner()

    for headers, status in ((caller.headers, 200), ({}, 401)):
        answer = Client().get(ME, headers={**headers, "Origin": LISTED})
        assert answer.status_code == status
        assert answer.headers["Access-Control-Allow-Origin"] == LISTED
        assert "Origin" in answer.headers["Vary"]
        assert answer.headers["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize(
    "origin", ["https://elsewhere.example", f"{LISTED}.evil.example", "null", LISTED.upper(), "*"]
)
def test_page_of_another_origin_may_not(origin: str) -> None:
    _, caller = partner()

    answer = Client().get(ME, headers={**caller.headers, "Origin": origin})

    assert answer.status_code == 200
    assert "Access-Control-Allow-Origin" not in answer.headers
    assert asked(ME, origin).status_code == 401


@pytest.mark.parametrize("address", CLOSED)
def test_other_closed_faces_stay_closed_to_listed_origins(address: str) -> None:
    for answer in (Client().get(address, headers={"Origin": LISTED}), asked(address, LISTED)):
        assert answer.status_code in {401, 404}
        assert "Access-Control-Allow-Origin" not in answer.headers
