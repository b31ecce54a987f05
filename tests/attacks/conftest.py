"""What the attacks run with."""

from collections.abc import Callable
from typing import Any
from unittest.mock import patch

import pytest
from django.core.cache import cache
from django.test import override_settings
from pytest_django import DjangoDbBlocker

from tests.attacks.scene import Answers, Story, everything_public, told, two_releases

Tell = Callable[[Story, Callable[[], Any]], Any]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Say of each test that is told a story that a database must be there to tell it."""
    for item in items:
        if "tell" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.django_db)


@pytest.fixture(scope="session")
def tell(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Tell:
    """Return what tells a story, asks and forgets: answers are kept, rows are not."""
    folder = tmp_path_factory.mktemp("files")

    def telling(story: Story, ask: Callable[[], Any]) -> Any:
        stores = {"MEDIA_ROOT": folder / "public", "PRIVATE_FILES_DIR": folder / "private"}
        with django_db_blocker.unblock(), override_settings(**stores):
            return told(story, ask)

    return telling


@pytest.fixture(scope="session")
def tell_rows(tell: Tell) -> Tell:
    """Return what tells a story whose releases have rows and no files, which is quicker."""

    def telling(story: Story, ask: Callable[[], Any]) -> Any:
        with patch("portal.publication.files.kinds_to_build", return_value=[]):
            return tell(story, ask)

    return telling


@pytest.fixture(scope="session")
def all_answers(tell: Tell) -> Answers:
    """Return what every public address answers after two releases, files included."""
    answers: Answers = tell(two_releases, everything_public)
    return answers


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    cache.clear()
