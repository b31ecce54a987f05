"""Zips that mean harm, and zips that are none."""

import struct
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from portal.checkarchive.container import Limits, UnreadableArchiveError
from portal.checkarchive.inspection import inspect_archive
from tests.portal.checkarchive.archives import event_draft
from tests.portal.checkarchive.cases import EML, EVENTS, FACTS, META

FLAGS_IN_DIRECTORY = 8  # offset of the flags in an entry of the central directory
SIZE_IN_DIRECTORY = 24  # offset of the declared size; both from the ZIP application note


def test_text_is_not_taken_for_a_zip(tmp_path: Path) -> None:
    path = tmp_path / "archive.zip"
    path.write_text("eventID\n", encoding="utf-8")

    with pytest.raises(UnreadableArchiveError, match="cannot be opened as a zip"):
        inspect_archive(path)


def test_archive_that_is_not_there_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(UnreadableArchiveError, match="cannot be opened"):
        inspect_archive(tmp_path / "nowhere.zip")


def test_archive_that_declares_too_much_is_not_unpacked(tmp_path: Path) -> None:
    draft = event_draft()
    draft.more.append(("zeros.txt", b"0" * 1_000_000))

    with pytest.raises(UnreadableArchiveError, match="more than 500000 bytes"):
        inspect_archive(draft.pack(tmp_path), limits=Limits(unpacked=500_000))


def test_archive_that_unpacks_to_more_than_it_declares_is_not_read_on(tmp_path: Path) -> None:
    draft = event_draft()
    draft.files[FACTS] += b"pit-1\t\t\t\t\n" * 100_000
    path = draft.pack(tmp_path)
    _change_directory(path, FACTS, SIZE_IN_DIRECTORY, struct.pack("<L", 10))

    with pytest.raises(UnreadableArchiveError, match="damaged"):
        inspect_archive(path, limits=Limits(unpacked=500_000))


def test_line_without_end_is_not_held(tmp_path: Path) -> None:
    draft = event_draft()
    draft.files[FACTS] = b"0" * 100_000

    with pytest.raises(UnreadableArchiveError, match="line of more than 50000 bytes"):
        inspect_archive(draft.pack(tmp_path), limits=Limits(line=50_000))


def test_document_without_end_is_not_parsed(tmp_path: Path) -> None:
    draft = event_draft()
    draft.files[EML] += b" " * 100_000

    with pytest.raises(UnreadableArchiveError, match=r"eml\.xml is larger than 50000 bytes"):
        inspect_archive(draft.pack(tmp_path), limits=Limits(document=50_000))


def test_zip_of_too_many_files_is_not_listed(tmp_path: Path) -> None:
    draft = event_draft()
    draft.more += [(f"{number}.txt", b"") for number in range(20)]

    with pytest.raises(UnreadableArchiveError, match="more than 10 entries"):
        inspect_archive(draft.pack(tmp_path), limits=Limits(entries=10))


def test_encrypted_zip_cannot_be_read(tmp_path: Path) -> None:
    path = event_draft().pack(tmp_path)
    _change_directory(path, EVENTS, FLAGS_IN_DIRECTORY, b"\x01\x00")

    with pytest.raises(UnreadableArchiveError, match="encrypted"):
        inspect_archive(path)


@pytest.mark.parametrize("name", [META, EVENTS])
def test_file_whose_bytes_changed_is_damaged(name: str, tmp_path: Path) -> None:
    path = tmp_path / "archive.zip"
    with ZipFile(path, "w") as target:  # stored as it is, so that the bytes can be found
        for file, content in event_draft().files.items():
            target.writestr(file, content)
    marker = b"rs.tdwg.org" if name == META else b"square metre"
    path.write_bytes(path.read_bytes().replace(marker, marker[::-1], 1))

    with pytest.raises(UnreadableArchiveError, match=f"{name} is damaged"):
        inspect_archive(path)


def test_entities_are_refused_before_they_grow(tmp_path: Path) -> None:
    lines = "".join(f"<!ENTITY e{n + 1} '{f'&e{n};' * 10}'>" for n in range(12))
    draft = event_draft()
    draft.swap(EML, "<eml:eml", f"<!DOCTYPE eml [<!ENTITY e0 'ha'>{lines}]><eml:eml")
    draft.swap(EML, "Pits of earthworms", "&e12;")

    report = inspect_archive(draft.pack(tmp_path))

    assert [finding.rule for finding in report.findings] == ["xml-doctype"]


def test_nothing_is_written_where_a_name_points(tmp_path: Path) -> None:
    folder = tmp_path / "inside"
    folder.mkdir()
    path = folder / "archive.zip"
    draft = event_draft()
    draft.more.append(("../escaped.txt", b"x"))
    draft.pack(folder)

    inspect_archive(path)

    assert sorted(found.name for found in tmp_path.rglob("*")) == ["archive.zip", "inside"]


def test_zip_bomb_of_one_file_takes_no_time(tmp_path: Path) -> None:
    path = tmp_path / "archive.zip"
    with ZipFile(path, "w", ZIP_DEFLATED) as target, target.open("meta.xml", "w") as member:
        for _ in range(20):
            member.write(b" " * 1_000_000)

    with pytest.raises(UnreadableArchiveError, match=r"meta\.xml is larger than"):
        inspect_archive(path)


def _change_directory(path: Path, name: str, offset: int, new: bytes) -> None:
    """Write bytes into the entry of a file in the central directory of a zip."""
    content = bytearray(path.read_bytes())
    entry_length, signature = 46, b"PK\x01\x02"
    place = content.index(signature)
    while bytes(content[place + entry_length :][: len(name)]) != name.encode():
        place = content.index(signature, place + 1)
    content[place + offset : place + offset + len(new)] = new
    path.write_bytes(content)
