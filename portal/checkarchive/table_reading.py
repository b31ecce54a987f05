"""From the bytes of a data file to records, with the number of the line each begins on."""

import csv
from collections.abc import Callable, Iterator

from portal.checkarchive.descriptor import FileDescription
from portal.checkarchive.subjects import Line

_BOM = "\ufeff"
NumberedFields = tuple[int, list[str] | None, str]


class TableReader:
    """The records of one data file; each line is shown to `look_at` on the way."""

    def __init__(
        self, lines: Iterator[bytes], file: FileDescription, look_at: Callable[[Line], None]
    ) -> None:
        self._source = lines
        self._file = file
        self._look_at = look_at
        self.lines = 0
        self.ends_with_line_feed = True

    def records(self) -> Iterator[NumberedFields]:
        """Yield line number, fields and text; no fields where a quote is out of place."""
        return self._quoted() if self._file.quote else self._plain()

    def _plain(self) -> Iterator[NumberedFields]:
        for text in self._texts():
            yield self.lines, text.split(self._file.delimiter), text

    def _quoted(self) -> Iterator[NumberedFields]:
        reader = csv.reader(
            (f"{text}\n" for text in self._texts()),
            delimiter=self._file.delimiter,
            quotechar=self._file.quote,
            strict=True,
        )
        begins = 1
        while True:
            try:
                fields = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                yield begins, None, str(error)
            else:
                yield begins, fields, "".join(fields)
            begins = self.lines + 1

    def _texts(self) -> Iterator[str]:
        end = self._file.line_end.encode()
        for content in self._source:
            self.lines += 1
            self.ends_with_line_feed = content.endswith(b"\n")
            body = content.removesuffix(end) if content.endswith(end) else content.rstrip(b"\n")
            self._look_at(Line(self.lines, body, self._file))
            text = body.decode("utf-8", errors="replace").rstrip("\r")
            yield text.removeprefix(_BOM) if self.lines == 1 else text
