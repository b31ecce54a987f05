"""The public addresses that a release's files carry."""

from typing import Literal
from uuid import UUID

from django.conf import settings

from portal.records.doi import doi_address

Kind = Literal["visit", "pit", "phase", "occurrence", "site"]


def permanent(kind: Kind, public_id: UUID) -> str:
    """Return the permanent address of a record or place."""
    return f"{settings.PUBLIC_URL}/id/{kind}/{public_id}"


def dataset() -> str:
    """Return what identifies the dataset in every release: its DOI, if any, else its page."""
    return doi_address(settings.DATASET_DOI) if settings.DATASET_DOI else dataset_page()


def dataset_page() -> str:
    """Return the address of the page about the dataset."""
    return f"{settings.PUBLIC_URL}/dataset"


def release(number: int) -> str:
    """Return the address that lists the files of a release."""
    return f"{settings.PUBLIC_URL}/api/v1/releases/{number}"


def file(release_number: int, build: int, name: str) -> str:
    """Return the address of a file of a build."""
    return f"{settings.PUBLIC_URL}/files/{release_number}/{build}/{name}"


def protocol(name: str) -> str:
    """Return the address of a protocol version, such as ``contrast-pit/2``."""
    return f"{settings.PUBLIC_URL}/protocols/{name}"


def field(name: str) -> str:
    """Return the address where a field of the open data is defined."""
    return f"{settings.PUBLIC_URL}/api/v1/fields/{name}"


def catalogue() -> str:
    """Return the address of the catalogue."""
    return f"{settings.PUBLIC_URL}/catalogue"


def terms_of_use() -> str:
    """Return the address of the terms of use."""
    return f"{settings.PUBLIC_URL}/terms"
