"""The files of a job, in the private store; names that were sent never become names of files."""

import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from surveys.photos.storage import private_files
from surveys.uploads.models import FOLDER, UploadJob


class TooLarge(Exception):  # noqa: N818 -- reads as what happened
    """More bytes came than are allowed."""


class Incoming:
    """A file on its way to the disk, a piece at a time."""

    def __init__(self, file: BinaryIO, limit: int) -> None:
        self._file, self._limit, self._hash = file, limit, hashlib.sha256()
        self.size = 0

    def write(self, piece: bytes) -> None:
        """Write a piece.

        Raises
        ------
        TooLarge
            If the limit is passed.
        """
        self.size += len(piece)
        if self.size > self._limit:
            raise TooLarge
        self._hash.update(piece)
        self._file.write(piece)

    @property
    def sha256(self) -> str:
        """Return the hash of what was written."""
        return self._hash.hexdigest()


@contextmanager
def incoming(key: object, limit: int) -> Iterator[Incoming]:
    """Open the file of a new job; if anything goes wrong, nothing of it is left."""
    folder = Path(private_files().path(f"{FOLDER}/{key}"))
    folder.mkdir(mode=0o700, parents=True)
    try:
        with private_file(folder / "sent") as file:
            yield Incoming(file, limit)
    except BaseException:
        shutil.rmtree(folder)
        raise


@contextmanager
def private_file(path: Path) -> Iterator[BinaryIO]:
    """Open a new file that nobody else may read."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        yield file


def sent_file(job: UploadJob) -> Path:
    """Return the file as it was sent."""
    return Path(private_files().path(f"{job.folder}/sent"))


def table_file(job: UploadJob) -> Path:
    """Return the table, which stands in the zip or is the file itself."""
    unpacked = sent_file(job).with_name("table")
    return unpacked if unpacked.exists() else sent_file(job)


def scratch_file(job: UploadJob) -> Path:
    """Return the file of notes that a worker keeps while it reads."""
    return sent_file(job).with_name("notes.sqlite3")


def remove_files(job: UploadJob) -> None:
    """Remove everything that is kept of a file."""
    shutil.rmtree(Path(private_files().path(job.folder)), ignore_errors=True)
