"""In which encoding a text file is: known by its bytes, or asked for."""

import codecs
from dataclasses import dataclass
from pathlib import Path

from surveys.uploads.faults import FileNotReadable, RowFault

_PIECE = 1024 * 1024
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8", "a byte order mark"),
    (codecs.BOM_UTF16_LE, "utf-16", "a byte order mark"),
    (codecs.BOM_UTF16_BE, "utf-16", "a byte order mark"),
)
_CODECS = {"utf-8": "utf-8-sig", "utf-16": "utf-16", "windows-1252": "cp1252"}


@dataclass(frozen=True)
class FoundEncoding:
    """An encoding, how it is known, and whether a person must confirm it."""

    name: str
    because: str
    is_certain: bool = True


def codec_of(encoding: str) -> str:
    """Return Python's name of an encoding; the one of UTF-8 takes a byte order mark or none."""
    return _CODECS[encoding]


def find_encoding(path: Path) -> FoundEncoding:
    """Return the encoding of a file.

    A byte order mark is certain, and so is a text that is valid UTF-8. Any other text could be
    of many encodings of one byte a letter; Windows-1252 is then proposed, not taken.

    Raises
    ------
    FileNotReadable
        If the bytes are none of these.
    """
    with path.open("rb") as file:
        start = file.read(4)
    for mark, name, because in _BYTE_ORDER_MARKS:
        if start.startswith(mark):
            return _decoded(path, FoundEncoding(name, because))
    if _decodes(path, "utf-8"):
        return FoundEncoding("utf-8", "all bytes are valid UTF-8")
    if _decodes(path, "cp1252"):
        return FoundEncoding("windows-1252", "not UTF-8, so one of many", is_certain=False)
    raise FileNotReadable(_unreadable("UTF-8, UTF-16 with a byte order mark or Windows-1252"))


def check_encoding(path: Path, name: str) -> FoundEncoding:
    """Return the encoding that the sender named, if the file can be read in it.

    Raises
    ------
    FileNotReadable
        If it cannot.
    """
    return _decoded(path, FoundEncoding(name, "you said so"))


def _decoded(path: Path, found: FoundEncoding) -> FoundEncoding:
    if not _decodes(path, codec_of(found.name)):
        raise FileNotReadable(_unreadable(found.name))
    return found


def _decodes(path: Path, codec: str) -> bool:
    decoder = codecs.getincrementaldecoder(codec)()
    with path.open("rb") as file:
        try:
            while piece := file.read(_PIECE):
                if "\0" in decoder.decode(piece) and codec != "utf-16":
                    return False
            decoder.decode(b"", final=True)
        except UnicodeError:
            return False
    return True


def _unreadable(allowed: str) -> RowFault:
    return RowFault(
        row=None,
        column="",
        code="encoding-not-read",
        message="The text is not in an encoding that we read, or holds a null character.",
        allowed=allowed,
    )
