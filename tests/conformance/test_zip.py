"""Layout of the zip: what aggregators unpack (text guide, 2023-09-13; faults publicly reported)."""

import io
import zipfile

from tests.conformance.reading import Archive


def entries(archive: Archive) -> list[zipfile.ZipInfo]:
    with zipfile.ZipFile(io.BytesIO(archive.content)) as packed:
        return packed.infolist()


def test_zip_holds_the_six_files_at_its_root(archive: Archive) -> None:
    names = [entry.filename for entry in entries(archive)]

    assert sorted(names) == [
        "eml.xml",
        "event.txt",
        "extendedmeasurementorfact.txt",
        "humboldt.txt",
        "meta.xml",
        "occurrence.txt",
    ]


def test_zip_is_whole(archive: Archive) -> None:
    with zipfile.ZipFile(io.BytesIO(archive.content)) as packed:
        assert packed.testzip() is None
        assert packed.comment == b""


def test_zip_entries_tell_only_the_day_of_the_release(archive: Archive) -> None:
    told = {(entry.date_time, entry.create_system, entry.extra) for entry in entries(archive)}

    assert told == {((2025, 6, 30, 0, 0, 0), 3, b"")}


def test_summary_counts_the_rows_of_each_file(archive: Archive) -> None:
    lines = {
        name: content.count(b"\n") - 1
        for name, content in archive.members.items()
        if name.endswith(".txt")
    }

    assert archive.summary.rows == lines
    assert min(lines.values()) > 0
