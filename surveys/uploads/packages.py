"""What a file is, and the zip with a table and photos; entries are read, never unpacked by name."""

import shutil
from pathlib import Path, PurePosixPath
from zipfile import BadZipFile, ZipFile, ZipInfo

from surveys.photos.picture import MAX_BYTES
from surveys.uploads.faults import FileNotReadable, RowFault
from surveys.uploads.models import FileKind
from surveys.uploads.store import private_file

MAX_ENTRIES = 50_000
TABLES = (".csv", ".ndjson", ".xlsx")
_ZIP_START = b"PK\x03\x04"
_WORKBOOK = "xl/workbook.xml"


class PhotoNotThere(Exception):  # noqa: N818 -- reads as what happened
    """A zip has no such photo, or it can't be read; the message says why."""


def kind_of(path: Path) -> FileKind:
    """Return what a file is by its bytes: a zip, a workbook, lines of JSON or a table of text."""
    with path.open("rb") as file:
        start = file.read(64)
    if start.startswith(_ZIP_START):
        return (
            FileKind.XLSX
            if _WORKBOOK in {part.filename for part in _entries(path)}
            else (FileKind.ZIP)
        )
    text = start.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    return FileKind.NDJSON if text.startswith(b"{") else FileKind.CSV


def take_table(path: Path, to: Path, limit: int) -> None:
    """Copy the one table of a zip, whole or not at all.

    Raises
    ------
    FileNotReadable
        If there is none, there are several, or it is too large when unpacked.
    """
    tables = [
        part
        for part in _entries(path)
        if not part.is_dir()
        and PurePosixPath(part.filename).suffix.lower() in TABLES
        and not PurePosixPath(part.filename).name.startswith(".")
    ]
    if len(tables) != 1:
        raise FileNotReadable(
            RowFault(
                row=None,
                column="",
                code="table-not-clear",
                message="A zip holds exactly one table.",
                received=", ".join(part.filename for part in tables),
                allowed=f"one file that ends in {', '.join(TABLES)}",
            )
        )
    if tables[0].file_size > limit:
        raise FileNotReadable(_too_large(limit))
    partial = to.with_name("partial")
    try:
        with ZipFile(path) as parts, parts.open(tables[0]) as table, private_file(partial) as copy:
            shutil.copyfileobj(table, copy)
    except (BadZipFile, NotImplementedError, RuntimeError, EOFError) as error:
        raise FileNotReadable(_broken(str(error))) from error
    partial.replace(to)


class PhotoFolder:
    """The photos of a zip, by the path they have in it or by their name alone."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._by_name: dict[str, list[ZipInfo]] = {}
        for part in _entries(path) if path else ():
            if not part.is_dir():
                for name in {part.filename, PurePosixPath(part.filename).name}:
                    self._by_name.setdefault(name, []).append(part)

    def read(self, name: str) -> bytes:
        """Return the bytes of a photo; of too large a one, just enough to be refused.

        Raises
        ------
        PhotoNotThere
            If there is none of this name, more than one, or it is broken or encrypted.
        """
        found = self._by_name.get(name, [])
        if self._path is None or len(found) != 1:
            msg = f"The upload has {len(found) or 'no'} files of this name."
            raise PhotoNotThere(msg)
        try:
            with ZipFile(self._path) as parts, parts.open(found[0]) as file:
                return file.read(MAX_BYTES + 1)
        except (BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
            msg = f"The file cannot be read: {error}."
            raise PhotoNotThere(msg) from error


def _entries(path: Path) -> list[ZipInfo]:
    try:
        with ZipFile(path) as parts:
            entries = parts.infolist()
    except (BadZipFile, NotImplementedError) as error:
        raise FileNotReadable(_broken(str(error))) from error
    if len(entries) > MAX_ENTRIES:
        raise FileNotReadable(_broken(f"it has more than {MAX_ENTRIES} entries"))
    return entries


def _broken(why: str) -> RowFault:
    message = f"The zip cannot be read: {why}."
    return RowFault(row=None, column="", code="file-not-read", message=message)


def _too_large(limit: int) -> RowFault:
    return RowFault(
        row=None,
        column="",
        code="file-too-large-unpacked",
        message="The table is too large when unpacked.",
        allowed=f"{limit} bytes",
    )
