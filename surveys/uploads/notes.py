"""What a worker notes of a file while it reads it: on disk, so that memory stays the same."""

import json
import sqlite3
from pathlib import Path
from typing import Any

from surveys.uploads.gathering import Gathered

_TABLES = """
CREATE TABLE IF NOT EXISTS refs (ref TEXT PRIMARY KEY, row INTEGER) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS sites (code TEXT PRIMARY KEY, place TEXT) WITHOUT ROWID;
"""
_PLACE = ("latitude", "longitude", "place_kind", "datum")


class Notes:
    """Which references came in which row, and where new sites were said to lie.

    Each note is written at once, so that a killed worker's serve the next one.
    """

    def __init__(self, path: Path) -> None:
        self._notes = sqlite3.connect(path, isolation_level=None)
        self._notes.execute("PRAGMA synchronous=OFF")
        self._notes.execute("PRAGMA journal_mode=WAL")
        self._notes.executescript(_TABLES)

    def __enter__(self) -> "Notes":
        return self

    def __exit__(self, *_raised: object) -> None:
        self._notes.close()

    def is_new(self, visit: Gathered) -> bool:
        """Note a reference and tell whether it begins here and nowhere before."""
        self._notes.execute(
            "INSERT OR IGNORE INTO refs VALUES (?, ?)", (visit.ref, visit.first_row)
        )
        found = self._notes.execute("SELECT row FROM refs WHERE ref = ?", (visit.ref,)).fetchone()
        return bool(found[0] == visit.first_row)

    def with_place(self, raw: Any) -> Any:
        """Return a visit with the place that the file gave its site in an earlier visit.

        A rehearsal stores no site, so the next visit to it would seem to be to a new one.
        """
        site = raw.get("site") if isinstance(raw, dict) else None
        code = site.get("code") if isinstance(site, dict) else None
        if not isinstance(site, dict) or not isinstance(code, str):
            return raw
        if site.get("latitude") is not None:
            place = json.dumps({name: site[name] for name in _PLACE if name in site})
            self._notes.execute("INSERT OR IGNORE INTO sites VALUES (?, ?)", (code, place))
            return raw
        found = self._notes.execute("SELECT place FROM sites WHERE code = ?", (code,)).fetchone()
        return raw | {"site": json.loads(found[0]) | site} if found else raw
