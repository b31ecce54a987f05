"""Metadata as unqualified Dublin Core, the format that every repository has to give."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement

from api.harvest.oai.items import Item
from api.harvest.oai.xml_answer import XSI, writable
from portal.archive.coverage import Box, Coverage
from portal.archive.metadata import DatasetMetadata
from portal.archive.values import plain_number
from portal.records.models import ReleaseFile

NAMESPACE = "http://www.openarchives.org/OAI/2.0/oai_dc/"
SCHEMA = "http://www.openarchives.org/OAI/2.0/oai_dc.xsd"


def dublin_core(item: Item, metadata: DatasetMetadata) -> Element:
    """Return the metadata of an item."""
    root = Element(
        "oai_dc:dc",
        {
            "xmlns:oai_dc": NAMESPACE,
            "xmlns:dc": "http://purl.org/dc/elements/1.1/",
            "xmlns:xsi": XSI,
            "xsi:schemaLocation": f"{NAMESPACE} {SCHEMA}",
        },
    )
    for name, value in _elements(item, metadata):
        SubElement(root, f"dc:{name}").text = writable(value)
    return root


def _elements(item: Item, metadata: DatasetMetadata) -> Iterator[tuple[str, str]]:
    yield "title", metadata.title
    yield "creator", metadata.rights_holder
    for keyword in metadata.keywords:
        yield "subject", keyword
    yield "description", metadata.abstract
    yield "publisher", metadata.rights_holder
    for group in metadata.credits:
        yield "contributor", group
    yield "date", metadata.issued_on.isoformat()
    yield "type", "Dataset"  # DCMI Type Vocabulary
    for media_type in _media_types(metadata.release_number):
        yield "format", media_type
    for address in item.addresses:
        yield "identifier", address
    yield "language", "en"
    for address in item.related:
        yield "relation", address
    for value in _covered(metadata.coverage, metadata.place_description):
        yield "coverage", value
    yield "rights", metadata.licence.legal_text


def _media_types(release: int) -> list[str]:
    files = ReleaseFile.objects.filter(release=release, gone_at__isnull=True)
    return sorted({name.partition(";")[0] for name in files.values_list("media_type", flat=True)})


def _covered(coverage: Coverage, place: str) -> Iterator[str]:
    if coverage.box:
        yield _box(coverage.box, place)
    if coverage.first_on and coverage.last_on:
        yield f"start={coverage.first_on}; end={coverage.last_on}; scheme=W3C-DTF;"  # DCMI Period


def _box(box: Box, place: str) -> str:
    """Return a DCMI Box; a semicolon would end the name in it."""
    return (
        f"name={place.replace(';', ',')}; "
        f"northlimit={plain_number(box.north)}; southlimit={plain_number(box.south)}; "
        f"westlimit={plain_number(box.west)}; eastlimit={plain_number(box.east)}; "
        "units=signed decimal degrees;"
    )
