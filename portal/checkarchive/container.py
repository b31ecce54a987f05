"""A zip that is read with suspicion: nothing is unpacked to disk, and sizes have limits.

Declared sizes are checked first; the bytes that really come out are counted as well.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from lzma import LZMAError
from pathlib import Path
from struct import error as StructError  # noqa: N812 -- an exception
from zipfile import BadZipFile, LargeZipFile, ZipFile, ZipInfo
from zlib import error as ZlibError  # noqa: N812 -- an exception

_ENCRYPTED = 0x1
# What the library raises where bytes of a zip are not what they should be.
_DAMAGE = (
    BadZipFile,
    LargeZipFile,
    OSError,
    ValueError,
    RuntimeError,
    EOFError,
    StructError,
    ZlibError,
    LZMAError,
)


class UnreadableArchiveError(Exception):
    """The archive cannot be judged at all."""


@dataclass(frozen=True)
class Limits:
    """What an archive may cost to read [bytes, where not said otherwise]."""

    unpacked: int = 4 * 2**30
    line: int = 4 * 2**20
    document: int = 8 * 2**20
    entries: int = 1000


class Container:
    """An open archive."""

    def __init__(self, path: Path, limits: Limits) -> None:
        self.limits = limits
        self._unpacked = 0
        try:
            self._zip = ZipFile(path)
        except _DAMAGE as error:
            message = f"{path} cannot be opened as a zip: {error}"
            raise UnreadableArchiveError(message) from error
        try:
            self._refuse_what_is_too_much()
        except UnreadableArchiveError:
            self._zip.close()
            raise

    def __enter__(self) -> "Container":
        """Return the archive itself."""
        return self

    def __exit__(self, *_error: object) -> None:
        """Close the zip."""
        self._zip.close()

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of all entries as stored, in their order."""
        return tuple(entry.orig_filename for entry in self._zip.infolist())

    def holds(self, name: str) -> bool:
        """Tell whether there is an entry of exactly this name."""
        return name in self._zip.NameToInfo

    def document(self, name: str) -> bytes:
        """Return a small file whole.

        Raises
        ------
        UnreadableArchiveError
            If it is larger than such a file may be, or damaged.
        """
        try:
            with self._zip.open(name) as member:
                content = member.read(self.limits.document + 1)
        except _DAMAGE as error:
            message = f"{name} is damaged: {error}"
            raise UnreadableArchiveError(message) from error
        if len(content) > self.limits.document:
            message = f"{name} is larger than {self.limits.document} bytes."
            raise UnreadableArchiveError(message)
        return content

    def lines(self, name: str) -> Iterator[bytes]:
        """Yield the lines of a file, each with its line feed.

        Raises
        ------
        UnreadableArchiveError
            If a line or all files together are larger than the limits, or the file is damaged.
        """
        try:
            with self._zip.open(name) as member:
                while line := member.readline(self.limits.line + 1):
                    self._count(name, len(line))
                    yield line
        except _DAMAGE as error:
            message = f"{name} is damaged: {error}"
            raise UnreadableArchiveError(message) from error

    def _count(self, name: str, length: int) -> None:
        self._unpacked += length
        if length > self.limits.line:
            message = f"{name} has a line of more than {self.limits.line} bytes."
            raise UnreadableArchiveError(message)
        if self._unpacked > self.limits.unpacked:
            raise _too_large(self.limits)

    def _refuse_what_is_too_much(self) -> None:
        entries = self._zip.infolist()
        if len(entries) > self.limits.entries:
            message = f"The zip has more than {self.limits.entries} entries."
            raise UnreadableArchiveError(message)
        if sum(entry.file_size for entry in entries) > self.limits.unpacked:
            raise _too_large(self.limits)
        if any(map(_is_encrypted, entries)):
            message = "The zip is encrypted."
            raise UnreadableArchiveError(message)


def _is_encrypted(entry: ZipInfo) -> bool:
    return bool(entry.flag_bits & _ENCRYPTED)


def _too_large(limits: Limits) -> UnreadableArchiveError:
    return UnreadableArchiveError(
        f"The archive unpacks to more than {limits.unpacked} bytes; allow more with --max-bytes."
    )
