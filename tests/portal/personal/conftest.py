"""A participant of a village with published records, who holds a link."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from surveys.people.links import issue_link
from surveys.people.models import Participant
from tests.portal.publication.villages import Household, release, village, village_group


@dataclass(frozen=True)
class LinkHolder:
    """Somebody with a browser and a personal link."""

    home: str
    browser: Client

    def get(self, below: str = "", **query: str) -> Any:
        """Open a page below the own one."""
        return self.browser.get(self.home + below, query)

    def page(self, below: str = "", **query: str) -> str:
        """Return the text of a page that must be there, with spaces as a reader sees them."""
        answer = self.get(below, **query)
        assert answer.status_code == 200, answer.status_code
        return " ".join(answer.content.decode().split())

    def confirm(self, **sent: str) -> Any:
        """Confirm a withdrawal by the form that a page showed."""
        return self.browser.post(f"{self.home}/withdrawal", sent)


def holder_of_link(participant: Participant, at: datetime | None = None) -> LinkHolder:
    """Return a participant with a new link."""
    _, token = issue_link(
        participant=participant,
        lifetime=timedelta(days=7),
        at=at or timezone.now(),
        by="group QVD",
    )
    return LinkHolder(f"/my/{token}", Client())


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the wrong links of earlier tests, which count against the limit."""
    cache.clear()


@pytest.fixture
def homes(db: None) -> list[Household]:  # noqa: ARG001 -- the database is needed
    """Make a village of six households and its first release."""
    made = village(village_group(), range(6))
    release(1)
    return made


@pytest.fixture
def holder(homes: list[Household]) -> LinkHolder:
    """Return the participant of the first household with a link."""
    return holder_of_link(homes[0].participant)
