"""A zip whose bytes depend on what is in it alone."""

import shutil
from datetime import UTC, datetime
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from portal.archive.spool import RowSpool

_READABLE_BY_ALL = 0o100644 << 16
_UNIX = 3


def add_document(archive: ZipFile, name: str, content: bytes, issued_at: datetime) -> None:
    """Add a small file."""
    archive.writestr(_entry(name, issued_at), content)


def add_rows(archive: ZipFile, spool: RowSpool, issued_at: datetime) -> None:
    """Add the rows of a spool, a piece at a time."""
    entry = _entry(spool.name, issued_at)
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
