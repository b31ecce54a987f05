"""What every test runs with."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from django.db import connection

if TYPE_CHECKING:
    from pathlib import Path

    from pytest_django import Settings


DATABASE_FIXTURES = {"db", "transactional_db", "django_db_setup"}


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let a second run, on another database, leave out what no database has a part in."""
    parser.addoption(
        "--with-database-only",
        action="store_true",
        help="leave out the tests that need no database",
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the tests that need no database, if asked to."""
    if not config.getoption("with_database_only"):
        return
    without = [item for item in items if not needs_database(item)]
    config.hook.pytest_deselected(items=without)
    items[:] = [item for item in items if needs_database(item)]


def needs_database(item: pytest.Item) -> bool:
    """Tell whether a test asks for the database, by a mark or by a fixture."""
    fixtures = set(getattr(item, "fixturenames", ()))
    return item.get_closest_marker("django_db") is not None or bool(fixtures & DATABASE_FIXTURES)


def pytest_report_header() -> str:
    """Say which database this run is about."""
    return f"database: {connection.display_name}"


@pytest.fixture(autouse=True)
def files_folder(settings: Settings, tmp_path: Path) -> Path:
    """Keep the files of one test away from those of another, and of an installation."""
    folder = tmp_path / "files"
    settings.MEDIA_ROOT = folder
    settings.PRIVATE_FILES_DIR = tmp_path / "private"
    return folder
