"""Text files: encodings, separators, rows of any length."""

import codecs
from pathlib import Path

import pytest

from surveys.uploads.cells import Reading
from surveys.uploads.encodings import check_encoding, find_encoding
from surveys.uploads.faults import FileNotReadable
from surveys.uploads.texts import MAX_LINE, csv_rows, find_separator, ndjson_lines

TEXT = "client_ref,note\nA-1,Gänseblümchen\n"


def written(folder: Path, content: bytes) -> Path:
    """Return a file with this content."""
    path = folder / "table"
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("content", "encoding", "is_certain"),
    [
        (TEXT.encode(), "utf-8", True),
        (codecs.BOM_UTF8 + TEXT.encode(), "utf-8", True),
        (TEXT.encode("utf-16"), "utf-16", True),
        (codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), "utf-16", True),
        (TEXT.encode("cp1252"), "windows-1252", False),
        (b"client_ref\nA-1\n", "utf-8", True),
    ],
)
def test_encoding_is_found_and_the_text_read(
    tmp_path: Path,
    content: bytes,
    encoding: str,
    is_certain: bool,  # noqa: FBT001 -- a case
) -> None:
    path = written(tmp_path, content)

    found = find_encoding(path)
    rows = list(csv_rows(path, Reading(encoding=found.name)))

    assert (found.name, found.is_certain) == (encoding, is_certain)
    assert rows[0][1][0] == "client_ref"
    assert rows[1][1][0] == "A-1"
    assert rows[1][1][1:] in ([], ["Gänseblümchen"])


@pytest.mark.parametrize(
    "content", [b"\x81\x8d\x8f", b"client_ref\0,note", codecs.BOM_UTF8 + b"\xff", b"\xff\xfea"]
)
def test_bytes_of_no_known_encoding_are_refused(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(FileNotReadable) as caught:
        find_encoding(written(tmp_path, content))

    assert caught.value.faults[0].code == "encoding-not-read"


def test_encoding_that_the_sender_names_must_fit(tmp_path: Path) -> None:
    path = written(tmp_path, TEXT.encode("cp1252"))

    assert check_encoding(path, "windows-1252").is_certain
    with pytest.raises(FileNotReadable):
        check_encoding(path, "utf-8")


@pytest.mark.parametrize(
    ("header", "separator"),
    [
        ("client_ref,note", "comma"),
        ('"client_ref";"note"', "semicolon"),
        ("client_ref\tnote", "tab"),
        ("client_ref", "comma"),
    ],
)
def test_separator_is_the_one_that_makes_known_columns(
    tmp_path: Path, header: str, separator: str
) -> None:
    assert find_separator(written(tmp_path, f"{header}\n".encode()), "utf-8") == separator


def test_header_without_a_known_column_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileNotReadable) as caught:
        find_separator(written(tmp_path, b"name|date\n"), "utf-8")

    assert (caught.value.faults[0].code, caught.value.faults[0].row) == ("header-not-known", 1)


def test_rows_are_counted_as_a_spreadsheet_counts_them(tmp_path: Path) -> None:
    path = written(tmp_path, b'client_ref,note\n\nA-1,"two\nlines"\n , \nA-2,x\n')

    assert [(row, cells[0]) for row, cells in csv_rows(path, Reading())] == [
        (1, "client_ref"), (3, "A-1"), (5, "A-2"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b'client_ref,note\nA-1,"never closed\n' + b"x\n" * 70_000, "row-not-read"),
        (b"client_ref\n" + b"x" * (MAX_LINE + 10), "row-too-long"),
        (b"client_ref\n" + b"," * 1000, "row-too-long"),
        (b'client_ref,note\nA-1,"closed"badly\n', "row-not-read"),
    ],
)
def test_row_that_cannot_be_read_is_told_by_its_number(
    tmp_path: Path, content: bytes, code: str
) -> None:
    with pytest.raises(FileNotReadable) as caught:
        list(csv_rows(written(tmp_path, content), Reading()))

    assert (caught.value.faults[0].code, caught.value.faults[0].row) == (code, 2)


def test_lines_of_json_are_numbered(tmp_path: Path) -> None:
    path = written(tmp_path, codecs.BOM_UTF8 + b'{"a": 1}\r\n\n{"a": 2}')

    assert [(row, line.strip()) for row, line in ndjson_lines(path, "utf-8")] == [
        (1, '{"a": 1}'), (3, '{"a": 2}'),
    ]  # fmt: skip
