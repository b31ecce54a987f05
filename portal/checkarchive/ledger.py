"""Ids and links of all rows, kept in a temporary SQLite file until every file was read.

Questions ask whether a row exists, or for the first of its id, and never join all rows of an id:
an archive whose ids are all alike must not cost more than another.

The cost is on disk, some 300 bytes a row; memory stays the same for any number of rows.
"""

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

_TABLES = """
    CREATE TABLE core (
        id TEXT, folded TEXT, parent TEXT, first_on TEXT, last_on TEXT, generalised INTEGER,
        file TEXT, row INTEGER);
    CREATE TABLE occurrence (id TEXT, coreid TEXT, file TEXT, row INTEGER);
    CREATE TABLE measurement (
        id TEXT, occurrence TEXT, coreid TEXT, file TEXT, row INTEGER);
    CREATE TABLE link (coreid TEXT, file TEXT, row INTEGER);
    CREATE TABLE scope (
        coreid TEXT, scope INTEGER, results INTEGER, file TEXT, row INTEGER);
    CREATE TABLE secret (coreid TEXT, name TEXT, value TEXT, file TEXT, row INTEGER);
"""
_INDEXES = """
    CREATE INDEX core_id ON core (id);
    CREATE INDEX core_folded ON core (folded);
    CREATE INDEX core_parent ON core (parent);
    CREATE INDEX core_generalised ON core (id) WHERE generalised;
    CREATE INDEX core_root ON core (id) WHERE parent = '';
    CREATE INDEX occurrence_id ON occurrence (id);
    CREATE INDEX occurrence_place ON occurrence (id, coreid);
    CREATE INDEX measurement_id ON measurement (id);
    CREATE INDEX scope_core ON scope (coreid);
"""
_WAITING = 20_000
Found = tuple[str, str, int]


class CoreEntry(NamedTuple):
    """A row of the core."""

    id: str
    folded: str
    parent: str
    first_on: str | None
    last_on: str | None
    generalised: bool
    file: str
    row: int


class Ledger:
    """An open ledger; `close_books` comes between the last entry and the first question.

    Books that lack the core stay open, so that not every row is called an orphan.
    """

    def __init__(self) -> None:
        self._folder = TemporaryDirectory(prefix="checkarchive-")
        self._database = sqlite3.connect(Path(self._folder.name) / "ledger.sqlite3")
        self._database.executescript("PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF;" + _TABLES)
        self._is_closed = False
        self._waiting: dict[str, list[tuple[object, ...]]] = {}

    def __enter__(self) -> "Ledger":
        """Return the ledger itself."""
        return self

    def __exit__(self, *_error: object) -> None:
        """Drop everything."""
        self._database.close()
        self._folder.cleanup()

    def enter(self, table: str, entry: tuple[object, ...]) -> None:
        """Note a row in a table."""
        waiting = self._waiting.setdefault(table, [])
        waiting.append(entry)
        if len(waiting) == _WAITING:
            self._write(table)

    def close_books(self) -> None:
        """Write what waits, and prepare for questions; without this there are no answers."""
        for table in self._waiting:
            self._write(table)
        self._database.executescript(_INDEXES)
        self._is_closed = True

    def ask(self, question: str) -> Iterator[Found]:
        """Yield value, file and row of what a question finds; nothing before the books close."""
        if self._is_closed:
            yield from self._database.execute(question)

    def _write(self, table: str) -> None:
        waiting = self._waiting[table]
        if waiting:
            marks = ", ".join("?" * len(waiting[0]))
            statement = f"INSERT INTO {table} VALUES ({marks})"  # noqa: S608 -- names of our own
            self._database.executemany(statement, waiting)
            waiting.clear()
