"""The small release, made once for each module: each test finds it as it was."""

from collections.abc import Iterator

import pytest
from pytest_django import DjangoDbBlocker

from tests.factories.published import SmallRelease, small_release
from tests.modules import undone_at_the_end


@pytest.fixture(scope="module")
def kept(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
) -> Iterator[SmallRelease]:
    """Return a release of a garden and a school that stays until the module ends."""
    with django_db_blocker.unblock(), undone_at_the_end():
        yield small_release()


@pytest.fixture
def small(kept: SmallRelease, db: None) -> SmallRelease:  # noqa: ARG001 -- what a test writes is undone
    """Return the release."""
    return kept
