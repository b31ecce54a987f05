"""Workbooks: read as values, written as values, and no bomb opened."""

from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import load_workbook

from surveys.uploads import workbooks
from surveys.uploads.faults import FileNotReadable
from surveys.uploads.workbooks import sheet_rows, write_book


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Return a workbook of one row below a header."""
    path = tmp_path / "book.xlsx"
    write_book(path, {"records": [["client_ref", "number"], [], ["A-1", 3]]})
    return path


def repacked(book: Path, part: str, content: bytes) -> Path:
    """Return a copy of a workbook with another content of one part."""
    copy = book.with_name("copy.xlsx")
    with ZipFile(book) as old, ZipFile(copy, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, content if name == part else old.read(name))
    return copy


def code_of(path: Path) -> str:
    with pytest.raises(FileNotReadable) as caught:
        list(sheet_rows(path))
    return caught.value.faults[0].code


def test_rows_are_counted_as_the_sheet_counts_them(book: Path) -> None:
    assert list(sheet_rows(book)) == [(1, ["client_ref", "number"]), (3, ["A-1", 3])]


def test_text_that_looks_like_a_formula_is_written_as_text(tmp_path: Path) -> None:
    path = tmp_path / "made.xlsx"

    write_book(path, {"records": [["=1+1", "@x", "\0odd", "x" * 40_000]]})

    cells = next(load_workbook(path)["records"].iter_rows())
    assert [cell.data_type for cell in cells] == ["s"] * 4
    assert cells[0].value == "=1+1"
    assert len(str(cells[3].value)) == 32_767  # most of a cell: ECMA-376 as Excel limits it


@pytest.mark.parametrize(
    "prolog",
    [
        b'<!DOCTYPE x [<!ENTITY a "aaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>',
        b"<!--" + b" " * 9000 + b'--><!DOCTYPE x SYSTEM "file:///etc/passwd">',
    ],
)
def test_xml_that_declares_a_document_type_is_refused(book: Path, prolog: bytes) -> None:
    part = "xl/worksheets/sheet1.xml"
    with ZipFile(book) as parts:
        sheet = parts.read(part).replace(b"<worksheet", prolog + b"<worksheet", 1)

    assert code_of(repacked(book, part, sheet)) == "file-too-large-unpacked"


def test_part_that_would_fill_memory_is_refused(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbooks, "MAX_OTHER_BYTES", 100_000)
    with ZipFile(book) as parts:
        styles = parts.read("xl/styles.xml") + b" " * 200_000

    assert code_of(repacked(book, "xl/styles.xml", styles)) == "file-too-large-unpacked"


@pytest.mark.parametrize("content", [b"PK\x03\x04 is all", b"", b"<worksheet><sheetData>"])
def test_file_that_is_no_workbook_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "book.xlsx"
    path.write_bytes(content)

    assert code_of(path) == "file-not-read"


def test_sheet_that_is_cut_off_is_refused(book: Path) -> None:
    part = "xl/worksheets/sheet1.xml"
    with ZipFile(book) as parts:
        sheet = parts.read(part)[:-40]

    assert code_of(repacked(book, part, sheet)) == "file-not-read"


def test_one_of_several_sheets_must_be_called_records(tmp_path: Path) -> None:
    unclear, clear = tmp_path / "unclear.xlsx", tmp_path / "clear.xlsx"
    write_book(unclear, {"one": [["a"]], "two": [["b"]]})
    write_book(clear, {"guide": [["a"]], "Records": [["b"]]})

    assert code_of(unclear) == "sheet-not-clear"
    assert list(sheet_rows(clear)) == [(1, ["b"])]
