"""What meta.xml declares, taken as it stands; rules judge it.

Darwin Core text guide, TDWG, 2023-09-13, with the defaults of its schema.
"""

from dataclasses import dataclass

from portal.checkarchive.vocabulary import EVENT, NAMESPACES
from portal.checkarchive.xml_reading import Node

NAMESPACE = "http://rs.tdwg.org/dwc/text/"
_MOST_DIGITS = 10
_ESCAPES = {"\\t": "\t", "\\n": "\n", "\\r\\n": "\r\n", "\\r": "\r"}


@dataclass(frozen=True)
class Field:
    """A column: its index, if any, the IRI of its term, its default and line in meta.xml."""

    index: int | None
    term: str
    default: str
    line: int

    @property
    def name(self) -> str:
        """Return the local name of the term."""
        return self.term.rstrip("/").rpartition("/")[2]


@dataclass(frozen=True)
class FileDescription:
    """A data file as declared."""

    node: Node
    is_core: bool
    row_type: str
    locations: tuple[str, ...]
    id_index: int | None
    fields: tuple[Field, ...]

    @property
    def delimiter(self) -> str:
        """Return what parts the fields."""
        written = self.node.attributes.get("fieldsTerminatedBy", ",")
        return _ESCAPES.get(written, written)

    @property
    def line_end(self) -> str:
        """Return what ends a line."""
        written = self.node.attributes.get("linesTerminatedBy", "\\n")
        return _ESCAPES.get(written, written)

    @property
    def quote(self) -> str:
        """Return what encloses fields, or nothing."""
        return self.node.attributes.get("fieldsEnclosedBy", '"')

    @property
    def header_lines(self) -> int:
        """Return the number of lines before the rows; none if that is no number."""
        return whole(self.node.attributes.get("ignoreHeaderLines", "0")) or 0

    @property
    def can_be_read(self) -> bool:
        """Tell whether rows can be told apart at all."""
        marks = self.delimiter + self.quote
        is_plain = len(self.delimiter) == 1 and len(self.quote) <= 1
        can_be_told_apart = len(set(marks)) == len(marks) and not set(marks) & set("\r\n\0")
        return is_plain and can_be_told_apart and self.line_end in {"\n", "\r\n"}

    @property
    def names(self) -> frozenset[str]:
        """Return the local names of the standard terms that a row may hold."""
        return frozenset(self.standard_fields())

    def standard_fields(self) -> dict[str, Field]:
        """Return the fields of known namespaces by their local name."""
        known = [field for field in self.fields if _namespace(field.term) in NAMESPACES]
        return {field.name: field for field in reversed(known)}


@dataclass(frozen=True)
class Descriptor:
    """All data files, and the name of the metadata file."""

    root: Node
    metadata: str
    files: tuple[FileDescription, ...]

    @property
    def core_type(self) -> str:
        """Return the row type of the core."""
        return next((file.row_type for file in self.files if file.is_core), "")

    @property
    def has_events(self) -> bool:
        """Tell whether the core lists events."""
        return self.core_type == EVENT


def read_descriptor(root: Node) -> Descriptor:
    """Return what a descriptor declares, cores first."""
    nodes = sorted(
        (node for node in root.children if node.name in {"core", "extension"}),
        key=lambda node: node.name,
    )
    return Descriptor(root, root.attributes.get("metadata", ""), tuple(map(_file, nodes)))


def whole(text: str) -> int | None:
    """Return a whole number that is not negative, else nothing."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < _MOST_DIGITS else None


def _file(node: Node) -> FileDescription:
    is_core = node.name == "core"
    ids = [child for child in node.children if child.name == ("id" if is_core else "coreid")]
    return FileDescription(
        node,
        is_core,
        node.attributes.get("rowType", ""),
        tuple(location.text.strip() for location in node.all("files/location")),
        whole(ids[0].attributes.get("index", "")) if ids else None,
        tuple(_field(child) for child in node.children if child.name == "field"),
    )


def _field(node: Node) -> Field:
    return Field(
        whole(node.attributes.get("index", "")),
        node.attributes.get("term", ""),
        node.attributes.get("default", ""),
        node.line,
    )


def _namespace(term: str) -> str:
    return term[: term.rfind("/") + 1]
