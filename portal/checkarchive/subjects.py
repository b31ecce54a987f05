"""What rules look at, from the zip down to a row and up to the whole."""

from dataclasses import dataclass, field
from datetime import date

from portal.checkarchive.descriptor import Descriptor, FileDescription
from portal.checkarchive.ledger import Ledger
from portal.checkarchive.xml_reading import Node, XmlRefusedError
from portal.checkarchive.yardstick import Yardstick

DESCRIPTOR_FILE = "meta.xml"


@dataclass(frozen=True)
class Contents:
    """The names in the zip, and what meta.xml declares, if it can be read."""

    names: tuple[str, ...]
    descriptor: Descriptor | None

    @property
    def declared(self) -> list[str]:
        """Return the files that meta.xml names: the metadata, then the data files."""
        if self.descriptor is None:
            return []
        places = [place for file in self.descriptor.files for place in file.locations]
        return [name for name in (self.descriptor.metadata, *places) if name]


@dataclass(frozen=True)
class Document:
    """One of the two XML files: whether it is there, its root, or why it was refused."""

    name: str
    is_there: bool
    root: Node | None = None
    refusal: XmlRefusedError | None = None

    @property
    def is_descriptor(self) -> bool:
        """Tell whether it is the one that declares the others."""
        return self.name == DESCRIPTOR_FILE


@dataclass(frozen=True)
class Line:
    """A line of a data file: its number from 1, its bytes without the declared line end."""

    number: int
    content: bytes
    file: FileDescription


@dataclass(frozen=True)
class Header:
    """The first record of a file: names of columns, if the file has a header line."""

    cells: tuple[str, ...]
    file: FileDescription


@dataclass(frozen=True)
class Record:
    """The fields of a line, and how many there should be; none if the line cannot be split."""

    fields: list[str] | None
    expected: int
    text: str


class Row(dict[str, str]):
    """A row by the local names of its terms; what the file has no column for is the empty text.

    It is a dictionary, not a holder of one, since rules look at millions of rows.
    """

    __slots__ = ("core_id", "core_type", "file", "is_ascii", "yardstick")

    core_id: str
    core_type: str
    file: FileDescription
    is_ascii: bool
    yardstick: Yardstick

    def __missing__(self, name: str) -> str:
        """Return the empty text."""
        return ""


@dataclass(frozen=True)
class FileEnd:
    """What is known when a data file has ended."""

    lines: int
    records: int
    ends_with_line_feed: bool


@dataclass
class Extent:
    """The smallest and the largest of what was seen, with the row of each."""

    least: tuple[float, str, int] | None = None
    most: tuple[float, str, int] | None = None

    def widen(self, number: float, file: str, row: int) -> None:
        """Take in one more."""
        seen = (number, file, row)
        if self.least is None or number < self.least[0]:
            self.least = seen
        if self.most is None or number > self.most[0]:
            self.most = seen


@dataclass
class Tally:
    """What rows say that only the whole can judge: first place of each word, and extents."""

    generations: dict[str, tuple[str, str, int]] = field(default_factory=dict)
    licences: dict[str, tuple[str, str, int]] = field(default_factory=dict)
    latitude: Extent = field(default_factory=Extent)
    longitude: Extent = field(default_factory=Extent)
    first_day: tuple[date, str, int] | None = None
    last_day: tuple[date, str, int] | None = None


@dataclass(frozen=True)
class Whole:
    """The archive when every file was read."""

    descriptor: Descriptor
    metadata: Node | None
    tally: Tally
    ledger: Ledger
