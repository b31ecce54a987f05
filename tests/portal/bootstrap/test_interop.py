"""Programs of the system that the real tools need."""

import shutil
from pathlib import Path

import pytest

from portal.bootstrap import interop

ROOT = Path(__file__).resolve().parents[3]


def test_missing_programs_says_how_to_get_them(monkeypatch: pytest.MonkeyPatch) -> None:
    there = {"curl": "/bin/curl"}
    monkeypatch.setattr(shutil, "which", there.get)

    said = interop.missing_programs()

    assert "skipped: ogr2ogr." in said
    assert said.endswith("apt-get install gdal-bin")


def test_missing_programs_says_that_all_are_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: f"/bin/{name}")

    assert interop.missing_programs() == "Programs of the system: all there."


def test_pytest_options_lead_to_a_folder_that_is_there() -> None:
    (setting,) = [word for word in interop.PYTEST_OPTIONS if word.startswith("testpaths=")]

    assert (ROOT / setting.removeprefix("testpaths=")).is_dir()
