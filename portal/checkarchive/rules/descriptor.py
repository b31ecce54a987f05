"""The structure of meta.xml and how it describes files."""

from collections.abc import Iterator

from portal.checkarchive.descriptor import NAMESPACE, Descriptor, FileDescription, whole
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.vocabulary import OCCURRENCE, terms
from portal.checkarchive.xml_reading import Node
from portal.checkarchive.yardstick import Yardstick

Problems = Iterator[Problem]
_GUIDE = "Darwin Core text guide 2023-09-13"
_PRACTICE = "common practice, no source"
_FILE_ATTRIBUTES = {
    "linesTerminatedBy",
    "fieldsTerminatedBy",
    "fieldsEnclosedBy",
    "ignoreHeaderLines",
    "rowType",
    "encoding",
    "dateFormat",
}
_ATTRIBUTES = {
    "archive": {"metadata"},
    "core": _FILE_ATTRIBUTES,
    "extension": _FILE_ATTRIBUTES,
    "files": set(),
    "location": set(),
    "id": {"index"},
    "coreid": {"index"},
    "field": {"index", "term", "default", "vocabulary", "delimitedBy"},
}
_CHILDREN = {
    "archive": ("core", "extension"),
    "core": ("files", "id", "field"),
    "extension": ("files", "coreid", "field"),
    "files": ("location",),
}
_REQUIRED = {
    "core": ("files", "field"),
    "extension": ("files", "coreid", "field"),
    "files": ("location",),
}
_COLUMNS = ("occurrenceID", "basisOfRecord", "scientificName")


@rule("meta-root", "descriptor", f"{_GUIDE}: archive")
def wrong_root(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Begin meta.xml with an archive element of the namespace of the text guide."""
    root = descriptor.root
    if (root.name, root.namespace) != ("archive", NAMESPACE):
        yield Problem(value=f"{{{root.namespace}}}{root.name}", row=root.line)


@rule("meta-structure", "descriptor", f"{_GUIDE}: metafile schema")
def wrong_structure(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Use the elements and attributes of the metafile schema alone, in its order."""
    if descriptor.root.name == "archive":
        yield from _structure(descriptor.root)


@rule("meta-one-core", "descriptor", f"{_GUIDE}: core")
def cores(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Declare exactly one core."""
    number = sum(file.is_core for file in descriptor.files)
    if number != 1 and descriptor.root.name == "archive":
        yield Problem(value=str(number), row=descriptor.root.line)


@rule("meta-row-type", "descriptor", f"{_GUIDE}: rowType", severity="warning")
def unknown_row_type(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Use a row type that readers know: a class of the standard, letter by letter."""
    for file in descriptor.files:
        known = terms().get(file.row_type)
        if known is None or not known.is_class:
            yield Problem("rowType", file.row_type, file.node.line)


@rule("meta-encoding", "descriptor", f"{_GUIDE}: encoding")
def encoding(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Write the file in UTF-8 and declare encoding="UTF-8"."""
    for file in descriptor.files:
        declared = file.node.attributes.get("encoding", "")
        if declared.upper() not in {"UTF-8", "UTF8"}:
            yield Problem("encoding", declared, file.node.line)


@rule("meta-delimiters", "descriptor", f"{_GUIDE}: fieldsTerminatedBy, linesTerminatedBy")
def delimiters(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Part fields by one character, such as \\t, and lines by \\n or \\r\\n."""  # noqa: D301 -- the escapes are what to write
    for file in descriptor.files:
        if not file.can_be_read:
            attributes = file.node.attributes
            written = " ".join(
                attributes.get(name, "") for name in ("fieldsTerminatedBy", "linesTerminatedBy")
            )
            yield Problem("fieldsTerminatedBy", written, file.node.line)


@rule("meta-layout-unwritten", "descriptor", f"{_GUIDE}: defaults", severity="warning")
def layout_unwritten(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Write delimiters and enclosure out: readers differ in their defaults."""
    for file in descriptor.files:
        for name in ("fieldsTerminatedBy", "linesTerminatedBy", "fieldsEnclosedBy"):
            if name not in file.node.attributes:
                yield Problem(name, row=file.node.line)


@rule("meta-header-lines", "descriptor", f"{_GUIDE}: ignoreHeaderLines", severity="warning")
def header_lines(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Write one line of column names and declare ignoreHeaderLines="1"."""
    for file in descriptor.files:
        declared = file.node.attributes.get("ignoreHeaderLines", "0")
        if declared != "1":
            yield Problem("ignoreHeaderLines", declared, file.node.line)


@rule("meta-location", "descriptor", f"{_GUIDE}: files/location")
def location(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Name the file in the zip by its bare name, no address and no path."""
    for file in descriptor.files:
        for place in file.locations:
            if not place or set(place) & set("/\\:"):
                yield Problem("location", place, file.node.line)


@rule("meta-id-missing", "descriptor", f"{_GUIDE}: id, coreid")
def id_missing(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Say with id or coreid in which column the id of the core row stands."""
    for file in descriptor.files:
        if file.id_index is None and (len(descriptor.files) > 1 or not file.is_core):
            yield Problem("id" if file.is_core else "coreid", row=file.node.line)


@rule("meta-id-unmapped", "descriptor", _PRACTICE, severity="warning")
def id_unmapped(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Map the id column of the core as a field as well, so that its meaning is told."""
    for file in descriptor.files:
        indices = {field.index for field in file.fields}
        if file.is_core and file.id_index is not None and file.id_index not in indices:
            yield Problem("id", str(file.id_index), file.node.line)


@rule("meta-index-form", "descriptor", f"{_GUIDE}: index")
def index_form(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Write an index as a whole number, from 0."""
    for file in descriptor.files:
        for node in file.node.children:
            if node.name != "files" and whole(node.attributes.get("index", "0")) is None:
                yield Problem("index", node.attributes["index"], node.line)


@rule("meta-index-twice", "descriptor", f"{_GUIDE}: index")
def index_twice(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Map each column once."""
    for file in descriptor.files:
        seen: set[int] = set()
        for field in file.fields:
            if field.index in seen:
                yield Problem(field.name, str(field.index), field.line)
            if field.index is not None:
                seen.add(field.index)


@rule("meta-index-gap", "descriptor", f"{_GUIDE}: index; {_PRACTICE}", severity="warning")
def index_gap(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Map every column from the first to the last: what is not mapped is not read."""
    for file in descriptor.files:
        indices = _indices(file)
        for index in range(max(indices, default=-1)):
            if index not in indices and not _has_faulty_index(file):
                yield Problem("index", str(index), file.node.line)


@rule("meta-field-empty", "descriptor", f"{_GUIDE}: field")
def field_empty(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Give a field an index, or a default if it has no column."""
    for file in descriptor.files:
        for node in file.node.all("field"):
            if "index" not in node.attributes and not node.attributes.get("default"):
                yield Problem("index", node.attributes.get("term", ""), node.line)


@rule("meta-default", "descriptor", f"{_GUIDE}: default; {_PRACTICE}", severity="warning")
def default(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Write a constant as a column: not every reader applies defaults."""
    for file in descriptor.files:
        for field in file.fields:
            if field.default:
                yield Problem(field.name, field.default, field.line)


@rule("meta-column-missing", "descriptor", "Darwin Core terms: occurrenceID, basisOfRecord")
def column_missing(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Add the column without which rows of this type cannot be used."""
    for file in descriptor.files:
        has_id = file.is_core and file.id_index is not None  # which then is the occurrenceID
        for name in _COLUMNS if file.row_type == OCCURRENCE else ():
            if name not in file.names and not (has_id and name == "occurrenceID"):
                yield Problem(name, row=file.node.line)


@rule("eml-undeclared", "descriptor", f"{_GUIDE}: archive@metadata")
def metadata_undeclared(descriptor: Descriptor, _yardstick: Yardstick) -> Problems:
    """Describe the dataset in eml.xml and name it in the attribute metadata."""
    if not descriptor.metadata and descriptor.root.name == "archive":
        yield Problem("metadata", row=descriptor.root.line)


def _has_faulty_index(file: FileDescription) -> bool:
    """Tell whether an index is missing or stands twice, which explains a gap."""
    indices = [field.index for field in file.fields if not field.default]
    return None in indices or len(set(indices)) < len(indices)


def _indices(file: FileDescription) -> set[int]:
    mapped = {field.index for field in file.fields if field.index is not None}
    return mapped if file.id_index is None else mapped | {file.id_index}


def _structure(node: Node) -> Problems:
    unknown = node.attributes.keys() - _ATTRIBUTES[node.name]
    yield from (Problem(node.name, name, node.line) for name in sorted(unknown))
    order = _CHILDREN.get(node.name, ())
    for name in _REQUIRED.get(node.name, ()):
        if not any(child.name == name for child in node.children):
            yield Problem(node.name, f"no {name}", node.line)
    last = 0
    for child in node.children:
        place = order.index(child.name) if child.name in order else -1
        if place < last or child.namespace != node.namespace:
            yield Problem(node.name, child.name, child.line)
        if place >= 0:
            last = max(last, place)
            yield from _structure(child)
