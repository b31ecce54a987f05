"""What lies in the zip."""

from collections import Counter
from collections.abc import Iterator

from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import DESCRIPTOR_FILE, Contents

Problems = Iterator[Problem]
_GUIDE = "Darwin Core text guide 2023-09-13: content of an archive"
_PRACTICE = "common practice, no source"


@rule("zip-name-unsafe", "zip", "ZIP application note: file name")
def unsafe_name(contents: Contents) -> Problems:
    """Name files without drive, leading slash, backslash, '..' or control characters."""
    yield from (Problem(value=name) for name in contents.names if _is_unsafe(name))


@rule("zip-folder", "zip", _GUIDE)
def in_folder(contents: Contents) -> Problems:
    """Put all files at the root of the zip, in no folder."""
    for name in contents.names:
        if "/" in name and not _is_unsafe(name) and not _is_hidden(name):
            yield Problem(value=name)


@rule("zip-hidden", "zip", _PRACTICE)
def hidden(contents: Contents) -> Problems:
    """Leave out hidden files and what a file manager adds."""
    yield from (Problem(value=name) for name in contents.names if _is_hidden(name))


@rule("zip-name-twice", "zip", _GUIDE)
def name_twice(contents: Contents) -> Problems:
    """Give each file a name of its own, also where upper and lower case are one."""
    counted = Counter(name.casefold() for name in contents.names)
    yield from (Problem(value=name) for name, number in counted.items() if number > 1)


@rule("zip-file-missing", "zip", f"{_GUIDE}; files/location")
def file_missing(contents: Contents) -> Problems:
    """Add the file that meta.xml names, or remove its declaration."""
    for name in dict.fromkeys(contents.declared):
        if name not in contents.names and _is_bare(name) and name != _metadata(contents):
            yield Problem(value=name)


@rule("zip-file-undeclared", "zip", f"{_GUIDE}; files/location")
def file_undeclared(contents: Contents) -> Problems:
    """Declare the file in meta.xml, or leave it out."""
    known = {name.casefold() for name in (DESCRIPTOR_FILE, *contents.declared)}
    for name in contents.names:
        ordinary = _is_bare(name) and not _is_hidden(name)
        if contents.descriptor and ordinary and name.casefold() not in known:
            yield Problem(value=name)


def _metadata(contents: Contents) -> str:
    return contents.descriptor.metadata if contents.descriptor else ""


def _is_bare(name: str) -> bool:
    return "/" not in name and not _is_unsafe(name)


def _is_unsafe(name: str) -> bool:
    parts = name.replace("\\", "/").split("/")
    return (
        name.startswith("/")
        or "\\" in name
        or ":" in parts[0]
        or ".." in parts
        or not name.isprintable()
    )


def _is_hidden(name: str) -> bool:
    parts = name.split("/")
    return any(part.startswith((".", "__MACOSX")) and part != ".." for part in parts)
