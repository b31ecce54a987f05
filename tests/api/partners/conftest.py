"""A group with a token, and what it may do."""

from dataclasses import dataclass

import pytest

from surveys.people.models import Group
from tests.api.holders import partner
from tests.journeys.actors import Actor


@dataclass(frozen=True)
class Partner:
    """A group and its caller."""

    group: Group
    caller: Actor


@pytest.fixture
def diggers(db: None) -> Partner:  # noqa: ARG001 -- the database is needed
    """Return a group with one consenting participant and a token with every scope."""
    return Partner(*partner())
