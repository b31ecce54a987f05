"""The metadata of the dataset: what aggregators ask for, and agreement with the rows."""

from collections.abc import Iterator
from datetime import date

from portal.checkarchive.calendar_days import span_of
from portal.checkarchive.decimals import decimal
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Whole
from portal.checkarchive.vocabulary import licence_id
from portal.checkarchive.xml_reading import Node

Problems = Iterator[Problem]
_EML = "Ecological Metadata Language 2.2.0"
_PRACTICE = "common practice, no source"
_NAMESPACES = ("https://eml.ecoinformatics.org/eml-", "eml://ecoinformatics.org/eml-")
_REQUIRED = ("title", "creator", "contact", "pubDate", "abstract", "intellectualRights")
_RECOMMENDED = ("metadataProvider", "language", "coverage")
_EDGES = (
    ("southBoundingCoordinate", "latitude", True),
    ("northBoundingCoordinate", "latitude", False),
    ("westBoundingCoordinate", "longitude", True),
    ("eastBoundingCoordinate", "longitude", False),
)


@rule("eml-root", "metadata", f"{_EML}: eml")
def root(eml: Node) -> Problems:
    """Begin the metadata with an eml element of an EML namespace, with packageId and system."""
    is_eml = eml.name == "eml" and eml.namespace.startswith(_NAMESPACES)
    if not is_eml or not {"packageId", "system"} <= eml.attributes.keys():
        yield Problem(value=f"{{{eml.namespace}}}{eml.name}", row=eml.line)


@rule("eml-element-missing", "metadata", f"{_EML}: dataset; {_PRACTICE}")
def element_missing(eml: Node) -> Problems:
    """Add the element: aggregators ask for it."""
    yield from _missing(eml, _REQUIRED)


@rule("eml-element-advised", "metadata", f"{_EML}: dataset; {_PRACTICE}", severity="warning")
def element_advised(eml: Node) -> Problems:
    """Add the element, so that people find the dataset and its makers."""
    yield from _missing(eml, _RECOMMENDED)


@rule("eml-day", "metadata", f"{_EML}: pubDate, calendarDate")
def day(eml: Node) -> Problems:
    """Write YYYY-MM-DD or YYYY."""
    for name in ("pubDate", "calendarDate"):
        for node in eml.descendants(name):
            if span_of(node.text.strip()) is None:
                yield Problem(name, node.text.strip(), node.line)


@rule("eml-licence-address", "metadata", f"{_EML}: intellectualRights/para/ulink; {_PRACTICE}")
def licence_address(eml: Node) -> Problems:
    """Link the licence by its address (ulink) in intellectualRights, so that machines read it."""
    for rights in eml.all("dataset/intellectualRights"):
        if not any(
            licence_id(link.attributes.get("url", "")) for link in rights.descendants("ulink")
        ):
            yield Problem("intellectualRights", rights.whole_text(), rights.line)


@rule("eml-licence-differs", "whole", f"{_EML}: intellectualRights, licensed; {_PRACTICE}")
def licence_differs(whole: Whole) -> Problems:
    """Name the same licence in the metadata and in the rows."""
    rows = whole.tally.licences.keys()
    for address, line in _licences(whole.metadata):
        name = licence_id(address)
        if name and rows and name not in rows:
            yield Problem("licence", f"{name}, but rows have {', '.join(sorted(rows))}", line)


@rule("eml-box", "whole", f"{_EML}: boundingCoordinates")
def box(whole: Whole) -> Problems:
    """Draw the box around all coordinates of the rows."""
    if whole.metadata is None:
        return
    for edge, axis, is_least in _EDGES:
        numbers = [decimal(node.text.strip()) for node in whole.metadata.descendants(edge)]
        known = [number for number in numbers if number is not None]
        extent = getattr(whole.tally, axis)
        seen = extent.least if is_least else extent.most
        if known and seen and (seen[0] < min(known) if is_least else seen[0] > max(known)):
            yield Problem(f"decimal{axis.capitalize()}", f"{seen[0]:g}", seen[2], seen[1])


@rule("eml-days", "whole", f"{_EML}: temporalCoverage")
def days(whole: Whole) -> Problems:
    """Let the days of the coverage cover the days of the rows."""
    covered = _days(whole.metadata)
    first, last = whole.tally.first_day, whole.tally.last_day
    if covered is None or first is None or last is None:
        return
    if first[0] < covered[0]:
        yield Problem("eventDate", first[0].isoformat(), first[2], first[1])
    if last[0] > covered[1]:
        yield Problem("eventDate", last[0].isoformat(), last[2], last[1])


def _missing(eml: Node, names: tuple[str, ...]) -> Problems:
    for name in names:
        if not any(node.whole_text() for node in eml.all(f"dataset/{name}")):
            yield Problem(name, row=eml.line)


def _licences(eml: Node | None) -> Iterator[tuple[str, int]]:
    """Yield each address of a licence in the metadata, with its line."""
    if eml is None:
        return
    for rights in eml.all("dataset/intellectualRights"):
        for link in rights.descendants("ulink"):
            yield link.attributes.get("url", ""), link.line
    for path in ("dataset/licensed/url", "dataset/licensed/identifier"):
        for node in eml.all(path):
            yield node.text.strip(), node.line


def _days(eml: Node | None) -> tuple[date, date] | None:
    if eml is None:
        return None
    nodes = (
        node
        for period in eml.descendants("temporalCoverage")
        for node in period.descendants("calendarDate")
    )
    spans = [span for node in nodes if (span := span_of(node.text.strip()))]
    if not spans:
        return None
    return min(span.first_on for span in spans), max(span.last_on for span in spans)
