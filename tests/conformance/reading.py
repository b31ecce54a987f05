"""A reader of archives that knows only the Darwin Core text guide, not how ours are made."""

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lxml import etree

from portal.archive.package import ArchiveSummary, write_archive
from portal.archive.profiles import Profile
from portal.records.models import Release

TEXT_GUIDE = "{http://rs.tdwg.org/dwc/text/}"
ROW_TYPES = {
    "http://rs.tdwg.org/dwc/terms/Event": "event",
    "http://rs.tdwg.org/dwc/terms/Occurrence": "occurrence",
    "http://rs.tdwg.org/eco/terms/Event": "humboldt",
    "http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact": "measurement",
}
Table = list[dict[str, str]]


@dataclass(frozen=True)
class Archive:
    """An archive as bytes, its members, and its tables by kind of row."""

    content: bytes
    members: dict[str, bytes]
    tables: dict[str, Table]
    summary: ArchiveSummary

    def __getitem__(self, kind: str) -> Table:
        """Return a table: event, occurrence, humboldt or measurement."""
        return self.tables[kind]

    def events(self, event_type: str) -> Table:
        """Return the events of a type."""
        return [row for row in self["event"] if row["eventType"] == event_type]

    @property
    def eml(self) -> Any:
        """Return the metadata document."""
        return etree.fromstring(self.members["eml.xml"])


def archive_of(
    release: Release,
    profile: Profile = "2023-09",
    write: Callable[..., ArchiveSummary] = write_archive,
) -> Archive:
    """Write an archive of a release and read it back."""
    target = io.BytesIO()
    summary = write(release, target, profile=profile)
    members = members_of(target.getvalue())
    return Archive(target.getvalue(), members, _tables(members), summary)


def members_of(content: bytes) -> dict[str, bytes]:
    """Return the files of a zip by name."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def _tables(members: dict[str, bytes]) -> dict[str, Table]:
    return {
        ROW_TYPES[file.attrib["rowType"]]: _rows(file, members)
        for file in etree.fromstring(members["meta.xml"])
    }


def _rows(file: Any, members: dict[str, bytes]) -> Table:
    """Read a file by the columns its descriptor names; the id column is called ``id``."""
    location = file.find(f"{TEXT_GUIDE}files/{TEXT_GUIDE}location").text
    columns = {
        int(field.attrib["index"]): field.attrib["term"].rpartition("/")[2]
        for field in file.findall(f"{TEXT_GUIDE}field")
    }
    lines = members[location].decode("utf-8").split("\n")[1:-1]
    return [
        {"id": values[0]} | {name: values[index] for index, name in columns.items()}
        for values in (line.split("\t") for line in lines)
    ]
