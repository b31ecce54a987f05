"""The generation of the standard that an installation is set to."""

import runpy
from typing import get_args

import pytest
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from portal.archive.profiles import NEWER_COLUMNS, Profile, event_files, occurrence_files

SETTINGS = str(settings.BASE_DIR / "portal" / "settings.py")


@pytest.mark.parametrize("profile", get_args(Profile))
def test_installation_can_be_set_to_each_profile(
    monkeypatch: pytest.MonkeyPatch, profile: str
) -> None:
    monkeypatch.setenv("DRILOSPHERE_DWC_PROFILE", profile)

    assert runpy.run_path(SETTINGS)["DWC_PROFILE"] == profile


def test_installation_cannot_be_set_to_another_profile(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DRILOSPHERE_DWC_PROFILE", "2009-10")

    with pytest.raises(ImproperlyConfigured, match="DRILOSPHERE_DWC_PROFILE must be"):
        runpy.run_path(SETTINGS)


def test_newer_columns_stand_behind_those_of_both_profiles() -> None:
    older = event_files("2023-09") + occurrence_files("2023-09")
    newer = event_files("2026-05") + occurrence_files("2026-05")

    longer = [pair for pair in zip(older, newer, strict=True) if pair[0] != pair[1]]

    assert [file.name for file, _ in longer] == ["event.txt", "occurrence.txt"]
    for file, longer_file in longer:
        assert longer_file.is_core
        assert longer_file.columns == file.columns + NEWER_COLUMNS
