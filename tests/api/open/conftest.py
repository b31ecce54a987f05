"""A reader, and a small release to read."""

import pytest

from tests.factories.published import SmallRelease, small_release
from tests.journeys.actors import Actor


@pytest.fixture
def reader() -> Actor:
    """Return somebody without a token."""
    return Actor()


@pytest.fixture
def small(db: None) -> SmallRelease:  # noqa: ARG001 -- the database is needed
    """Return a release of a garden and a school, with two pits each."""
    return small_release()
