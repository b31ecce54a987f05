"""A release as a Darwin Core archive, in constant memory and with the same bytes every time.

There are two forms: events with their occurrences, scope and measurements, and occurrences
alone. An aggregator must be given one of them only, since both hold the same records.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from typing import Any, BinaryIO
from zipfile import ZipFile

from portal.archive.descriptor import descriptor_document
from portal.archive.edition import Edition, edition_of
from portal.archive.eml import eml_document
from portal.archive.event_rows import event_rows
from portal.archive.humboldt_rows import humboldt_rows
from portal.archive.measurement_rows import measurement_rows
from portal.archive.metadata import dataset_metadata
from portal.archive.occurrence_core import occurrence_core_rows, pits_without_row
from portal.archive.occurrence_rows import occurrence_rows
from portal.archive.profiles import Profile, event_files, occurrence_files
from portal.archive.reading import VisitTree, visit_trees
from portal.archive.spool import RowSpool, tabbed
from portal.archive.terms import DESCRIPTOR_FILE, METADATA_FILE, DataFile
from portal.archive.zip_file import add_document, add_rows
from portal.records.models import Release

RowsOfVisit = Callable[[Edition, VisitTree], Iterator[dict[str, Any]]]
_EVENT_BUILDERS: tuple[RowsOfVisit, ...] = (
    event_rows,
    occurrence_rows,
    humboldt_rows,
    measurement_rows,
)


@dataclass(frozen=True)
class ArchiveSummary:
    """How many rows went into each data file."""

    rows: dict[str, int]


def write_archive(
    release: Release, target: BinaryIO, *, profile: Profile | None = None
) -> ArchiveSummary:
    """Write a release as an event-core archive.

    Parameters
    ----------
    target
        An open file that the zip is written to.
    profile
        Generation of the standard whose words are used, else that of the installation.

    Raises
    ------
    LooseRowError, UnknownLicenceError, UnknownProtocolError, UnknownVerificationError
        If the release does not hold together or uses words that the archive cannot carry.
    """
    edition = edition_of(release, profile)
    with _Files(event_files(edition.profile)) as files:
        for visit in visit_trees(release.number):
            for spool, rows_of in zip(files.spools, _EVENT_BUILDERS, strict=True):
                spool.add_all(rows_of(edition, visit))
        return files.pack(edition, target)


def write_occurrence_archive(
    release: Release, target: BinaryIO, *, profile: Profile | None = None
) -> ArchiveSummary:
    """Write a release as an archive of occurrences alone; see `write_archive`."""
    edition = edition_of(release, profile)
    unshown = 0
    with _Files(occurrence_files(edition.profile)) as files:
        (spool,) = files.spools
        for visit in visit_trees(release.number):
            spool.add_all(occurrence_core_rows(edition, visit))
            unshown += pits_without_row(visit.pits)
        return files.pack(edition, target, _about_occurrences_alone(unshown))


def _about_occurrences_alone(pits_unshown: int) -> tuple[str, ...]:
    forms = (
        "This archive lists occurrences alone. The archive of events of this release holds the "
        "same records: give an aggregator one of the two, never both."
    )
    pits = "Pits without any occurrence or absence, which cannot be shown in this form"
    return forms, f"{pits}: {pits_unshown}."


class _Files(ExitStack):
    """The data files of an archive while they are written."""

    def __init__(self, described: tuple[DataFile, ...]) -> None:
        super().__init__()
        self.described = described
        self.spools = [RowSpool(file.name, file.headers, tabbed) for file in described]
        for spool in self.spools:
            self.enter_context(spool.lines)

    def pack(
        self, edition: Edition, target: BinaryIO, remarks: tuple[str, ...] = ()
    ) -> ArchiveSummary:
        """Write descriptor, metadata and data files as a zip; tell the rows of each."""
        issued_at = edition.release.issued_at
        metadata = dataset_metadata(edition)
        metadata = replace(metadata, remarks=metadata.remarks + remarks)
        with ZipFile(target, "w") as archive:
            descriptor = descriptor_document(self.described)
            add_document(archive, DESCRIPTOR_FILE, descriptor, issued_at)
            add_document(archive, METADATA_FILE, eml_document(metadata), issued_at)
            for spool in self.spools:
                add_rows(archive, spool, issued_at)
        return ArchiveSummary({spool.name: spool.rows for spool in self.spools})
