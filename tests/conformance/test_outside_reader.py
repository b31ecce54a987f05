"""Check 5, the archive through a reader that others wrote: python-dwca-reader."""

from pathlib import Path

import pytest
from dwca.darwincore.utils import qualname
from dwca.read import DwCAReader

from tests.conformance.conftest import Written
from tests.conformance.reading import ROW_TYPES, Archive


@pytest.fixture
def path(archive: Archive, tmp_path: Path) -> str:
    """Return where the archive lies."""
    path = tmp_path / "archive.zip"
    path.write_bytes(archive.content)
    return str(path)


def test_reader_sees_every_row(archive: Archive, path: str) -> None:
    with DwCAReader(path) as reader:
        counts = {"event": sum(1 for _ in reader.core_file)}
        for file in reader.extension_files:
            counts[ROW_TYPES[file.file_descriptor.type]] = sum(1 for _ in file)

    assert counts == {kind: len(rows) for kind, rows in archive.tables.items()}


def test_reader_sees_the_same_values(archive: Archive, path: str) -> None:
    with DwCAReader(path) as reader:
        rows = {row.id: row.data for row in reader}

    for event in archive["event"]:
        data = rows[event["id"]]
        assert data[qualname("eventID")] == event["eventID"]
        assert data[qualname("eventDate")] == event["eventDate"]
        assert data[qualname("dataGeneralizations")] == event["dataGeneralizations"]


def test_reader_finds_no_orphan(path: str) -> None:
    with DwCAReader(path) as reader:
        orphans = reader.orphaned_extension_rows()

    assert {name: rows for name, rows in orphans.items() if rows} == {}


def test_reader_joins_extensions_to_their_event(archive: Archive, path: str) -> None:
    with DwCAReader(path) as reader:
        joined = {row.id: len(row.extensions) for row in reader}

    extensions = archive["occurrence"] + archive["humboldt"] + archive["measurement"]
    for event in archive["event"]:
        expected = sum(1 for row in extensions if row["id"] == event["id"])
        assert joined[event["id"]] == expected


def test_reader_sees_every_row_of_occurrences_alone(flat: Archive, tmp_path: Path) -> None:
    path = tmp_path / "flat-archive.zip"
    path.write_bytes(flat.content)

    with DwCAReader(str(path)) as reader:
        rows = {row.id: row.data for row in reader}
        extensions = list(reader.extension_files)

    assert extensions == []
    assert rows.keys() == {row["occurrenceID"] for row in flat["occurrence"]}
    for row in flat["occurrence"]:
        data = rows[row["id"]]
        for name in ("scientificName", "eventDate", "decimalLatitude", "occurrenceStatus"):
            assert data[qualname(name)] == row[name]


@pytest.mark.parametrize("form", ["archive", "flat"])
def test_reader_sees_as_many_rows_as_the_manifest_says(
    written: Written, tmp_path: Path, form: str
) -> None:
    archive: Archive = getattr(written, form)
    path = tmp_path / "archive.zip"
    path.write_bytes(archive.content)

    with DwCAReader(str(path)) as reader:
        files = [reader.core_file, *reader.extension_files]
        counts = {file.file_descriptor.file_location: sum(1 for _ in file) for file in files}

    assert counts == archive.summary.rows


def test_reader_reads_the_metadata(path: str) -> None:
    with DwCAReader(path) as reader:
        title = reader.metadata.findtext("dataset/title")

    assert title == "Soil animals of paired pits"
