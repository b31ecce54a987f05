"""In what an archive of the newer generation of the standard differs; in nothing else.

Darwin Core term list of 2026-05-26 (TDWG): it renamed the recommended words of
dwc:occurrenceStatus and added terms of events, which consumers of the older list do not know.
"""

from dataclasses import replace
from typing import Final, Literal

from portal.archive.terms import (
    EVENT,
    HUMBOLDT,
    MEASUREMENT,
    OCCURRENCE,
    OCCURRENCE_CORE,
    DataFile,
    columns_of,
)

Profile = Literal["2023-09", "2026-05"]
OLDER: Final[Profile] = "2023-09"
NEWER: Final[Profile] = "2026-05"

# Recommended words of dwc:occurrenceStatus in each generation (found, not found).
OCCURRENCE_STATUS: Final[dict[Profile, tuple[str, str]]] = {
    OLDER: ("present", "absent"),
    NEWER: ("detected", "notDetected"),
}

# They stand behind the columns that both generations have, wherever a row carries its event.
NEWER_COLUMNS: Final = columns_of("""
    dwc:eventCategory dwc:sampledSubstrateCategory dwc:preferredSpatialRepresentation
""")


def event_files(profile: Profile) -> tuple[DataFile, ...]:
    """Return the files of the archive of events, the core first."""
    return (_in(profile, EVENT), OCCURRENCE, HUMBOLDT, MEASUREMENT)


def occurrence_files(profile: Profile) -> tuple[DataFile, ...]:
    """Return the one file of the archive of occurrences."""
    return (_in(profile, OCCURRENCE_CORE),)


def _in(profile: Profile, file: DataFile) -> DataFile:
    return replace(file, columns=file.columns + NEWER_COLUMNS) if profile == NEWER else file
