"""Gather the public models for Django; nothing is defined here."""

from portal.publication.models import SitePlacement
from portal.records.models import (
    OpenedCell,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)

__all__ = [
    "OpenedCell",
    "PublishedCount",
    "PublishedPit",
    "PublishedVisit",
    "Release",
    "ReleaseFile",
    "SitePlacement",
    "Tombstone",
]
