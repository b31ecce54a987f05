"""Read and write XLSX: a zip of XML, so it may be a bomb; nothing in it is run."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any
from xml.parsers import expat
from zipfile import BadZipFile, ZipFile, ZipInfo

from openpyxl import Workbook, load_workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.utils.exceptions import InvalidFileException

from surveys.uploads.cells import Cell
from surveys.uploads.faults import FileNotReadable, RowFault
from surveys.uploads.texts import MAX_COLUMNS, MAX_LINE

SHEET = "records"
MAX_PARTS = 1_000
MAX_SHEET_BYTES = 2 * 1024**3  # unpacked; read as a stream
MAX_OTHER_BYTES = 64 * 1024**2  # unpacked; held in memory, such as the table of texts
MAX_TEXT = 32_767  # of a cell, as the format allows
# XML that is cut off is a SyntaxError.
_BROKEN = (BadZipFile, InvalidFileException, KeyError, ValueError, TypeError, SyntaxError)
_CONTROL = dict.fromkeys((*range(9), 11, 12, *range(14, 32)), "\N{REPLACEMENT CHARACTER}")


def sheet_rows(path: Path) -> Iterator[tuple[int, list[Cell]]]:
    """Yield every row of the records that is not empty with its number; the header is row 1.

    Raises
    ------
    FileNotReadable
        If the file is no XLSX, too large when unpacked, or it isn't clear which sheet is meant.
    """
    _refuse_bombs(path)
    with path.open("rb") as file:
        try:
            book = load_workbook(file, read_only=True, data_only=True, keep_links=False)
            sheet = _the_sheet(book)
            sheet.reset_dimensions()
            for row, cells in enumerate(sheet.iter_rows(max_col=MAX_COLUMNS), start=1):
                values = _filled([_plain(cell.value) for cell in cells])
                if values:
                    yield row, values
        except _BROKEN as error:
            raise FileNotReadable(_broken(str(error))) from error


def write_book(path: Path, sheets: dict[str, Iterable[Iterable[Cell]]]) -> None:
    """Write sheets of values; a text stays a text, also one that looks like a formula."""
    book = Workbook(write_only=True)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([_written(sheet, value) for value in row])
    book.save(path)


def _written(sheet: Any, value: Cell) -> Any:
    if not isinstance(value, str):
        return value
    cell = WriteOnlyCell(sheet, value.translate(_CONTROL)[:MAX_TEXT])
    cell.data_type = "s"
    return cell


def _plain(value: Any) -> Cell:
    known = value is None or isinstance(value, str | int | float) or hasattr(value, "isoformat")
    plain: Cell = value if known else str(value)
    return plain[:MAX_LINE] if isinstance(plain, str) else plain


def _filled(values: list[Cell]) -> list[Cell]:
    """Return a row without the empty cells at its end."""
    while values and (values[-1] is None or not str(values[-1]).strip()):
        values.pop()
    return values


def _the_sheet(book: Any) -> Any:
    sheets = book.worksheets
    named = [sheet for sheet in sheets if sheet.title.strip().lower() == SHEET]
    chosen = named or sheets
    if len(chosen) != 1:
        raise FileNotReadable(
            RowFault(
                row=None,
                column="",
                code="sheet-not-clear",
                message="The file has several sheets; we do not guess which one is meant.",
                received=", ".join(sheet.title for sheet in sheets),
                allowed=f"one sheet, or one called {SHEET}",
            )
        )
    return chosen[0]


def _refuse_bombs(path: Path) -> None:
    """Refuse what would fill memory when unpacked, and XML that declares entities.

    A part cannot give more bytes than it declares: the reader of the zip stops there.

    Raises
    ------
    FileNotReadable
        If it is one of these, or no zip that can be read.
    """
    try:
        with ZipFile(path) as parts:
            listed = parts.infolist()
            if len(listed) > MAX_PARTS or any(not _is_small(part) for part in listed):
                raise FileNotReadable(_bomb())
            for part in listed:
                if part.filename.endswith((".xml", ".rels")):
                    with parts.open(part) as file:
                        _refuse_declarations(file)
    except (BadZipFile, NotImplementedError, RuntimeError) as error:  # also if it is encrypted
        raise FileNotReadable(_broken(str(error))) from error


def _is_small(part: ZipInfo) -> bool:
    is_sheet = part.filename.startswith("xl/worksheets/")
    return part.file_size <= (MAX_SHEET_BYTES if is_sheet else MAX_OTHER_BYTES)


class _RootReached(Exception):  # noqa: N818 -- ends the look at the prolog
    """A document type stands before the first element or nowhere."""


def _refuse_declarations(file: Any) -> None:
    parser = expat.ParserCreate()

    def refuse(*_: object) -> None:
        raise FileNotReadable(_bomb())

    def stop(*_: object) -> None:
        raise _RootReached

    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = stop
    try:
        while piece := file.read(4096):
            parser.Parse(piece, False)  # noqa: FBT003 -- expat's own signature
    except _RootReached:
        return
    except expat.ExpatError as error:
        raise FileNotReadable(_broken(str(error))) from error


def _broken(why: str) -> RowFault:
    message = f"The file is no XLSX that can be read: {why}."
    return RowFault(row=None, column="", code="file-not-read", message=message)


def _bomb() -> RowFault:
    return RowFault(
        row=None,
        column="",
        code="file-too-large-unpacked",
        message="The file is too large when unpacked, or its XML declares a document type.",
        allowed=f"{MAX_SHEET_BYTES} bytes a sheet, {MAX_OTHER_BYTES} bytes of anything else",
    )
