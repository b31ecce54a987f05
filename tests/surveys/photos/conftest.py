"""A visit whose recorder agreed to photos."""

import pytest

from surveys.visits.models import Visit
from tests.factories.private import ConsentFactory, PitFactory, VisitFactory


@pytest.fixture
def visit(db: None) -> Visit:  # noqa: ARG001 -- the database is needed
    """Return a visit in review with two pits."""
    made: Visit = VisitFactory.create()
    for number in (1, 2):
        PitFactory.create(visit=made, number=number)
    ConsentFactory.create(participant=made.participant, purpose="photos")
    return made
