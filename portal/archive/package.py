"""A release as a zip archive, in constant memory and with the same bytes every time."""

import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime
from tempfile import TemporaryFile
from typing import IO, Any, BinaryIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from portal.archive.descriptor import descriptor_document
from portal.archive.edition import Edition, edition_of
from portal.archive.eml import eml_document
from portal.archive.event_rows import event_rows
from portal.archive.humboldt_rows import humboldt_rows
from portal.archive.measurement_rows import measurement_rows
from portal.archive.metadata import dataset_metadata
from portal.archive.occurrence_rows import occurrence_rows
from portal.archive.reading import VisitTree, visit_trees
from portal.archive.terms import (
    DATA_FILES,
    DESCRIPTOR_FILE,
    EVENT,
    HUMBOLDT,
    MEASUREMENT,
    METADATA_FILE,
    OCCURRENCE,
    DataFile,
    Profile,
)
from portal.archive.values import written
from portal.records.models import Release

_READABLE_BY_ALL = 0o100644 << 16
_UNIX = 3

RowsOfVisit = Callable[[Edition, VisitTree], Iterator[dict[str, Any]]]
_BUILDERS: dict[DataFile, RowsOfVisit] = {
    EVENT: event_rows,
    OCCURRENCE: occurrence_rows,
    HUMBOLDT: humboldt_rows,
    MEASUREMENT: lambda _edition, visit: measurement_rows(visit),
}


class UnknownColumnError(ValueError):
    """A row has a value for a column that its file does not have."""


@dataclass(frozen=True)
class ArchiveSummary:
    """How many rows went into each data file."""

    rows: dict[str, int]


class _RowSpool:
    """The rows of one data file, on disk until the archive takes them."""

    def __init__(self, file: DataFile) -> None:
        self.file = file
        self.headers = file.headers
        self.rows = 0
        self.lines: IO[bytes] = TemporaryFile()  # noqa: SIM115 -- closed by the caller's stack
        self._write(self.headers)

    def add(self, row: dict[str, Any]) -> None:
        """Append a row; columns without a value stay empty.

        Raises
        ------
        UnknownColumnError
            If the row has a column more than the file.
        """
        if unknown := row.keys() - self.headers:
            message = f"{self.file.name} has no column {', '.join(sorted(unknown))}."
            raise UnknownColumnError(message)
        self._write(written(row.get(header)) for header in self.headers)
        self.rows += 1

    def _write(self, values: Iterable[str]) -> None:
        self.lines.write(("\t".join(values) + "\n").encode())


def write_archive(
    release: Release, target: BinaryIO, *, profile: Profile = "2023-09"
) -> ArchiveSummary:
    """Write a release as an event-core archive.

    Parameters
    ----------
    target
        An open file that the zip is written to.
    profile
        Generation of the standard whose words are used.

    Raises
    ------
    LooseRowError, UnknownLicenceError, UnknownProtocolError, UnknownVerificationError
        If the release does not hold together or uses words that the archive cannot carry.
    """
    edition = edition_of(release, profile)
    with ExitStack() as stack:
        spools = [_RowSpool(file) for file in DATA_FILES]
        for spool in spools:
            stack.enter_context(spool.lines)
        for visit in visit_trees(release.number):
            for spool in spools:
                for row in _BUILDERS[spool.file](edition, visit):
                    spool.add(row)
        with ZipFile(target, "w") as archive:
            _add_text(archive, DESCRIPTOR_FILE, descriptor_document(), release.issued_at)
            metadata = eml_document(dataset_metadata(edition))
            _add_text(archive, METADATA_FILE, metadata, release.issued_at)
            for spool in spools:
                _add_rows(archive, spool, release.issued_at)
    return ArchiveSummary({spool.file.name: spool.rows for spool in spools})


def _add_text(archive: ZipFile, name: str, content: bytes, issued_at: datetime) -> None:
    archive.writestr(_entry(name, issued_at), content)


def _add_rows(archive: ZipFile, spool: _RowSpool, issued_at: datetime) -> None:
    entry = _entry(spool.file.name, issued_at)
    entry.file_size = spool.lines.tell()  # so that a file beyond 4 GiB gets the wide header
    spool.lines.seek(0)
    with archive.open(entry, "w") as member:
        shutil.copyfileobj(spool.lines, member)


def _entry(name: str, issued_at: datetime) -> ZipInfo:
    """Return an entry that tells nothing of the machine or the moment of writing."""
    day = issued_at.astimezone(UTC)
    entry = ZipInfo(name, (day.year, day.month, day.day, 0, 0, 0))
    entry.compress_type = ZIP_DEFLATED
    entry.create_system = _UNIX
    entry.external_attr = _READABLE_BY_ALL
    return entry
