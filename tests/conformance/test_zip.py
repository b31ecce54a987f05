"""Check 1, layout of the zip: what aggregators unpack (text guide, 2023-09-13; reported faults)."""

import io
import zipfile

from lxml import etree

from tests.conformance.reading import TEXT_GUIDE, Archive


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


def test_zip_of_occurrences_alone_holds_three_files_at_its_root(flat: Archive) -> None:
    names = [entry.filename for entry in entries(flat)]

    assert sorted(names) == ["eml.xml", "meta.xml", "occurrence.txt"]


def test_zip_holds_exactly_what_its_descriptor_declares(form: Archive) -> None:
    descriptor = etree.fromstring(form.members["meta.xml"])
    declared = [location.text for location in descriptor.iter(f"{TEXT_GUIDE}location")]

    assert sorted([*declared, descriptor.attrib["metadata"], "meta.xml"]) == sorted(form.members)


def test_zip_is_whole(form: Archive) -> None:
    with zipfile.ZipFile(io.BytesIO(form.content)) as packed:
        assert packed.testzip() is None
        assert packed.comment == b""


def test_zip_entries_tell_only_the_day_of_the_release(form: Archive) -> None:
    told = {(entry.date_time, entry.create_system, entry.extra) for entry in entries(form)}

    assert told == {((2025, 6, 30, 0, 0, 0), 3, b"")}


def test_summary_counts_the_rows_of_each_file(form: Archive) -> None:
    lines = {
        name: content.count(b"\n") - 1
        for name, content in form.members.items()
        if name.endswith(".txt")
    }

    assert form.summary.rows == lines
    assert min(lines.values()) > 0
