"""The formats of metadata, each by its prefix."""

from collections.abc import Callable
from dataclasses import dataclass
from xml.etree.ElementTree import Element, fromstring

from api.harvest.oai import dublin_core
from api.harvest.oai.faults import Code, Fault
from api.harvest.oai.items import Item
from api.harvest.oai.xml_answer import XSI, writable
from portal.archive.edition import edition_of
from portal.archive.eml import EML, eml_document
from portal.archive.metadata import DatasetMetadata, dataset_metadata
from portal.records.models import Release


@dataclass(frozen=True)
class Format:
    """A format of metadata."""

    prefix: str
    schema: str
    namespace: str
    write: Callable[[Item, DatasetMetadata], Element]


def format_of(prefix: str) -> Format:
    """Return a format by its prefix.

    Raises
    ------
    Fault
        ``cannotDisseminateFormat``.
    """
    for known in FORMATS:
        if known.prefix == prefix:
            return known
    raise Fault(
        Code.CANNOT_DISSEMINATE_FORMAT,
        f"The formats here are {', '.join(known.prefix for known in FORMATS)}.",
    )


def metadata_of(item: Item, kind: Format) -> Element:
    """Return the metadata of an item that is not deleted."""
    release = Release.objects.get(number=item.release)
    return kind.write(item, dataset_metadata(edition_of(release)))


def _eml(item: Item, metadata: DatasetMetadata) -> Element:
    """Return the document that lies in the archive; all but its root is in no namespace."""
    del item
    read = fromstring(writable(eml_document(metadata).decode()))  # noqa: S314 -- our own document
    root = Element("eml:eml", {"xmlns": "", "xmlns:eml": EML, "xmlns:xsi": XSI})
    for name, value in read.attrib.items():
        root.set(name.replace(f"{{{XSI}}}", "xsi:"), value)
    root.extend(read)
    return root


FORMATS = (
    Format("oai_dc", dublin_core.SCHEMA, dublin_core.NAMESPACE, dublin_core.dublin_core),
    Format("eml", f"{EML}/eml.xsd", EML, _eml),
)
