"""Gather the public models for Django; nothing is defined here."""

from portal.harvesters.models import Acknowledgement, Harvester
from portal.publication.models import (
    GeneralisationSetting,
    SettingConfirmation,
    SitePlacement,
)
from portal.records.models import (
    ChangeEntry,
    HidingNote,
    OpenedCell,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)
from portal.snapshots.models import Snapshot, SnapshotIds

__all__ = [
    "Acknowledgement",
    "ChangeEntry",
    "GeneralisationSetting",
    "Harvester",
    "HidingNote",
    "OpenedCell",
    "PublishedCount",
    "PublishedPit",
    "PublishedVisit",
    "Release",
    "ReleaseFile",
    "SettingConfirmation",
    "SitePlacement",
    "Snapshot",
    "SnapshotIds",
    "Tombstone",
]
