"""What every test runs with."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from django.db import connection

if TYPE_CHECKING:
    from pathlib import Path

    from pytest_django import Settings


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
