"""The public addresses that a release's files carry."""

from typing import Literal
from uuid import UUID

from django.conf import settings

Kind = Literal["visit", "pit", "phase", "occurrence", "site"]


def permanent(kind: Kind, public_id: UUID) -> str:
    """Return the permanent address of a record or place."""
    return f"{settings.PUBLIC_URL}/id/{kind}/{public_id}"


def dataset() -> str:
    """Return the address of the dataset, the same for every release."""
    return f"{settings.PUBLIC_URL}/dataset"


def release(number: int) -> str:
    """Return the address that lists the files of a release."""
    return f"{settings.PUBLIC_URL}/api/v1/releases/{number}"


def protocol(name: str) -> str:
    """Return the address of a protocol version, such as ``contrast-pit/2``."""
    return f"{settings.PUBLIC_URL}/protocols/{name}"


def field(name: str) -> str:
    """Return the address where a field of the open data is defined."""
    return f"{settings.PUBLIC_URL}/api/v1/fields/{name}"


def terms_of_use() -> str:
    """Return the address of the terms of use."""
    return f"{settings.PUBLIC_URL}/terms"
