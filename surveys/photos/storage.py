"""The private file store: apart from public files, and never below or above them."""

from pathlib import Path

from django.conf import settings
from django.core.checks import CheckMessage, Error
from django.core.exceptions import ImproperlyConfigured
from django.core.files.storage import FileSystemStorage


def private_files() -> FileSystemStorage:
    """Return the store.

    Raises
    ------
    ImproperlyConfigured
        If its folder and a public one overlap: better no photo than a public one.
    """
    shared = overlapping_folders()
    if shared:
        raise ImproperlyConfigured(_message(shared[0]))
    return FileSystemStorage(
        location=settings.PRIVATE_FILES_DIR,
        file_permissions_mode=0o600,
        directory_permissions_mode=0o700,
    )


def overlapping_folders() -> list[Path]:
    """Return the public folders that hold the private one, or lie in it."""
    private = Path(settings.PRIVATE_FILES_DIR).resolve()
    return [
        folder
        for folder in _public_folders()
        if private == folder or private in folder.parents or folder in private.parents
    ]


def check_folders(**_: object) -> list[CheckMessage]:
    """Report overlapping folders when the project is checked."""
    return [Error(_message(folder), id="surveys.E001") for folder in overlapping_folders()]


def _public_folders() -> list[Path]:
    named = [settings.MEDIA_ROOT, settings.STATIC_ROOT, *settings.STATICFILES_DIRS]
    return [Path(folder).resolve() for folder in named if folder]


def _message(folder: Path) -> str:
    return (
        f"The private folder {settings.PRIVATE_FILES_DIR} and the public folder {folder} overlap. "
        "Set DRILOSPHERE_PRIVATE_DIR to a folder apart."
    )
