"""A group whose visit waits, and a reviewer."""

import pytest

from surveys.people.models import Group
from tests.api.holders import holder_of, partner, sent_visit, visit_of
from tests.factories.private import ReviewerFactory
from tests.journeys.actors import Actor


@pytest.fixture
def group(db: None) -> Group:  # noqa: ARG001 -- the database is needed
    """Return a group whose one visit waits for review."""
    made, caller = partner()
    sent_visit(caller, visit_of(1))
    return made


@pytest.fixture
def reviewer(db: None) -> Actor:  # noqa: ARG001 -- the database is needed
    """Return a reviewer who records nothing."""
    return holder_of(ReviewerFactory.create(code="V1"), "review")
