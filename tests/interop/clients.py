"""Run ogr2ogr, and read what it wrote; ask the face itself, to compare."""

import json
import os
import sqlite3
import subprocess
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from urllib.request import urlopen

from tests.interop.service import program

Row = dict[str, Any]
LONGEST_S = 120


@dataclass(frozen=True)
class Copy:
    """A collection as a desktop file: its columns with their types, and its rows by id."""

    types: dict[str, str]
    rows: dict[str, Row]
    asked: list[str] = field(default_factory=list)


def ogr2ogr(served: str, folder: Path, *options: str, **configuration: str) -> Any:
    """Run the program from the face into a GeoPackage, and return how it ended."""
    target = folder / "copy.gpkg"
    target.unlink(missing_ok=True)
    command = [program("ogr2ogr"), "-f", "GPKG", str(target), f"OAPIF:{served}", *options]
    return subprocess.run(  # noqa: S603 -- a list, no shell
        command,
        env=os.environ | {"CPL_DEBUG": "HTTP"} | configuration,
        capture_output=True,
        text=True,
        timeout=LONGEST_S,
        check=False,
    )


def copied(served: str, folder: Path, collection: str, *options: str) -> Copy:
    """Copy a collection, and read the copy."""
    ended = ogr2ogr(served, folder, collection, *options)
    assert ended.returncode == 0, ended.stderr
    assert "ERROR" not in ended.stderr, ended.stderr
    return read_copy(folder / "copy.gpkg", collection, ended.stderr)


def read_copy(file: Path, collection: str, log: str = "") -> Copy:
    """Read a collection of a GeoPackage."""
    with sqlite3.connect(file) as connection:
        connection.row_factory = sqlite3.Row
        columns = connection.execute("SELECT name, type FROM pragma_table_info(?)", [collection])
        types = {column["name"]: column["type"] for column in columns}
        rows = connection.execute(f'SELECT * FROM "{collection}"').fetchall()  # noqa: S608 -- our name
    connection.close()
    asked = [line for line in log.splitlines() if "HTTP: Fetch(" in line]
    return Copy(types, {row["id"]: dict(row) for row in rows}, asked)


def asked_of_us(address: str, **parameters: str) -> Any:
    """Return a JSON answer of ours."""
    query = f"?{urlencode(parameters)}" if parameters else ""
    with urlopen(address + query, timeout=60) as answer:  # noqa: S310 -- ours
        return json.load(answer)


def features_of(served: str, collection: str) -> dict[str, Row]:
    """Return the properties of all features by their id, as we answer them in one page."""
    found = asked_of_us(f"{served}/collections/{collection}/items", limit="10000")
    return {feature["id"]: feature["properties"] for feature in found["features"]}
