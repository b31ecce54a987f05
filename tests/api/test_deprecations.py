"""What will go is told in every answer that uses it."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from api import deprecations
from api.deprecations import Retirement
from tests.factories.published import ReleaseFactory

# The instant of the example in RFC 9745, section 2.1: @1688169599, 30 June 2023 23:59:59.
SINCE = datetime(2023, 6, 30, 23, 59, 59, tzinfo=UTC)
# That of the example in RFC 8594, section 3, moved to a day more than a year later.
UNTIL = datetime(2024, 12, 31, 23, 59, 59, tzinfo=UTC)

pytestmark = pytest.mark.django_db


@pytest.fixture
def old_status(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let an address and a parameter be on their way out."""
    listed = (
        Retirement("/api/v1/status", SINCE, UNTIL),
        Retirement("/api/v1/pits", SINCE, UNTIL, parameter="bom"),
    )
    monkeypatch.setattr(deprecations, "RETIREMENTS", listed)


def told(address: str) -> tuple[Any, ...]:
    headers = Client().get(address).headers
    link = 'rel="deprecation"' in headers.get("Link", "")
    return headers.get("Deprecation"), headers.get("Sunset"), link


GOING = ("@1688169599", "Tue, 31 Dec 2024 23:59:59 GMT", True)
STAYING = (None, None, False)


@pytest.mark.usefixtures("old_status")
def test_address_that_will_go_says_so() -> None:
    assert told("/api/v1/status") == GOING
    assert told("/api/v1/status/") == GOING
    assert told("/api/v1/status?f=csv") == GOING, "also where the answer is a problem"


@pytest.mark.usefixtures("old_status")
def test_parameter_that_will_go_is_told_only_to_those_who_use_it() -> None:
    ReleaseFactory.create(number=1)

    assert told("/api/v1/pits?bom=true") == GOING
    assert told("/api/v1/pits") == STAYING
    assert told("/api/v1/visits?bom=true") == STAYING


@pytest.mark.usefixtures("old_status")
def test_link_to_the_reasons_stands_beside_the_others() -> None:
    ReleaseFactory.create(number=1)

    link = Client().get("/api/v1/pits?bom=true").headers["Link"]

    assert '<http://localhost:8000/changes>; rel="deprecation"' in link
    assert 'rel="license"' in link


def test_nothing_is_told_of_what_stays() -> None:
    assert told("/api/v1/status") == STAYING


def test_notice_is_a_year_at_least() -> None:
    with pytest.raises(ValueError, match="12 months"):
        Retirement("/api/v1/status", SINCE, datetime(2024, 6, 1, tzinfo=UTC))
