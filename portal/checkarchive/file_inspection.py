"""One data file, line by line and row by row."""

from portal.checkarchive.bench import Bench
from portal.checkarchive.collecting import collect
from portal.checkarchive.descriptor import FileDescription
from portal.checkarchive.registry import rules_of
from portal.checkarchive.subjects import FileEnd, Header, Line, Record, Row
from portal.checkarchive.table_reading import TableReader


class FileInspection:
    """The reading of one data file."""

    def __init__(self, bench: Bench, file: FileDescription, location: str) -> None:
        self._bench = bench
        self._file = file
        self._location = location
        self._rules_of_lines = rules_of("line")
        self._rules_of_records = rules_of("record")
        self._rules_of_rows = [
            rule for rule in rules_of("row") if not rule.needs or rule.needs & file.names
        ]
        fields = file.standard_fields()
        self._columns = [
            (name, field.index) for name, field in fields.items() if field.index is not None
        ]
        self._defaults = {name: field.default for name, field in fields.items() if field.default}
        self._width = 0

    def run(self) -> None:
        """Judge every line, then the file."""
        lines = self._bench.container.lines(self._location)
        reader = TableReader(lines, self._file, self._look_at)
        records = 0
        for number, fields, text in reader.records():
            if not records:
                self._begin(fields)
            records += 1
            if records > self._file.header_lines:
                self._take(number, Record(fields, self._width, text))
        end = FileEnd(reader.lines, records, reader.ends_with_line_feed)
        self._bench.ask("file", end, self._file, file=self._location)

    def _look_at(self, line: Line) -> None:
        for rule in self._rules_of_lines:
            for problem in rule.function(line):
                self._bench.report.add(rule, problem, self._location, line.number)

    def _begin(self, fields: list[str] | None) -> None:
        self._width = len(fields or ())
        header = Header(tuple(fields or ()), self._file)
        self._bench.ask("header", header, file=self._location, row=1)

    def _take(self, number: int, record: Record) -> None:
        for rule in self._rules_of_records:
            for problem in rule.function(record):
                self._bench.report.add(rule, problem, self._location, number)
        if record.fields is None or len(record.fields) != self._width:
            return
        row = self._row(record.fields, record.text)
        for rule in self._rules_of_rows:
            for problem in rule.function(row):
                self._bench.report.add(rule, problem, self._location, number)
        collect(row, self._location, number, self._bench)

    def _row(self, fields: list[str], text: str) -> Row:
        row = Row((name, fields[index]) for name, index in self._columns if index < self._width)
        for name, value in self._defaults.items():
            row[name] = row[name] or value
        place = self._file.id_index
        row.core_id = fields[place] if place is not None and place < self._width else ""
        row.core_type = self._bench.core_type
        row.file = self._file
        row.is_ascii = text.isascii()
        row.yardstick = self._bench.yardstick
        return row
