"""The private file store lies apart from everything public."""

from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from pytest_django import Settings

from surveys.photos.storage import overlapping_folders, private_files


def test_folders_of_an_installation_are_apart() -> None:
    assert overlapping_folders() == []
    call_command("check")


@pytest.mark.parametrize("setting", ["MEDIA_ROOT", "STATIC_ROOT", "STATICFILES_DIRS"])
@pytest.mark.parametrize("private", ["public", "public/inside", "public/../public/x", "."])
def test_overlap_with_a_public_folder_is_refused(
    settings: Settings, tmp_path: Path, setting: str, private: str
) -> None:
    public = tmp_path / "public"
    setattr(settings, setting, [public] if setting.endswith("DIRS") else public)
    settings.PRIVATE_FILES_DIR = tmp_path / private

    with pytest.raises(ImproperlyConfigured, match="DRILOSPHERE_PRIVATE_DIR"):
        private_files()
    with pytest.raises(SystemCheckError, match=r"surveys\.E001"):
        call_command("check")


def test_link_to_a_public_folder_is_seen_through(settings: Settings, tmp_path: Path) -> None:
    (tmp_path / "public").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "public")
    settings.MEDIA_ROOT = tmp_path / "public"
    settings.PRIVATE_FILES_DIR = tmp_path / "link" / "photos"

    assert overlapping_folders() == [tmp_path / "public"]


def test_folder_with_a_similar_name_is_apart(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.PRIVATE_FILES_DIR = tmp_path / "files-private"

    assert overlapping_folders() == []
