"""What each verb answers, as an element of its name."""

from collections.abc import Callable
from xml.etree.ElementTree import Element, SubElement

from django.conf import settings

from api.harvest.oai.datestamps import GRANULARITY
from api.harvest.oai.faults import Code, Fault
from api.harvest.oai.formats import FORMATS, Format, format_of, metadata_of
from api.harvest.oai.items import Item, earliest_datestamp, item_of
from api.harvest.oai.listing import Page, listing_of, page_of
from api.harvest.oai.xml_answer import base_url, writable


def answer_verb(arguments: dict[str, str]) -> Element:
    """Return what a request asks for.

    Raises
    ------
    Fault
        Whatever the protocol has for a request that asks for something else.
    """
    return _VERBS[arguments["verb"]](arguments)


def _identify(arguments: dict[str, str]) -> Element:
    element = Element(arguments["verb"])
    _text(element, "repositoryName", settings.DATASET["name"])
    _text(element, "baseURL", base_url())
    _text(element, "protocolVersion", "2.0")
    _text(element, "adminEmail", settings.DATASET["contact"])
    _text(element, "earliestDatestamp", earliest_datestamp())
    _text(element, "deletedRecord", "persistent")
    _text(element, "granularity", GRANULARITY)
    return element


def _list_metadata_formats(arguments: dict[str, str]) -> Element:
    if "identifier" in arguments and item_of(arguments["identifier"]).is_deleted:
        raise Fault(Code.NO_METADATA_FORMATS, "The record is deleted; no metadata of it are left.")
    element = Element(arguments["verb"])
    for known in FORMATS:
        entry = SubElement(element, "metadataFormat")
        _text(entry, "metadataPrefix", known.prefix)
        _text(entry, "schema", known.schema)
        _text(entry, "metadataNamespace", known.namespace)
    return element


def _list_sets(arguments: dict[str, str]) -> Element:
    del arguments
    raise Fault(Code.NO_SET_HIERARCHY, "There are no sets here.")


def _get_record(arguments: dict[str, str]) -> Element:
    kind = format_of(arguments["metadataPrefix"])
    element = Element(arguments["verb"])
    element.append(_record(item_of(arguments["identifier"]), kind))
    return element


def _list_identifiers(arguments: dict[str, str]) -> Element:
    listing = listing_of(arguments)
    format_of(listing.prefix)
    page = page_of(listing)
    return _list(arguments["verb"], page, [_header(item) for item in page.items])


def _list_records(arguments: dict[str, str]) -> Element:
    listing = listing_of(arguments)
    kind = format_of(listing.prefix)
    page = page_of(listing)
    return _list(arguments["verb"], page, [_record(item, kind) for item in page.items])


_VERBS: dict[str, Callable[[dict[str, str]], Element]] = {
    "Identify": _identify,
    "ListMetadataFormats": _list_metadata_formats,
    "ListSets": _list_sets,
    "GetRecord": _get_record,
    "ListIdentifiers": _list_identifiers,
    "ListRecords": _list_records,
}


def _list(verb: str, page: Page, entries: list[Element]) -> Element:
    element = Element(verb)
    element.extend(entries)
    if page.token is not None:
        _text(element, "resumptionToken", page.token)
    return element


def _record(item: Item, kind: Format) -> Element:
    record = Element("record")
    record.append(_header(item))
    if not item.is_deleted:
        SubElement(record, "metadata").append(metadata_of(item, kind))
    return record


def _header(item: Item) -> Element:
    header = Element("header", {"status": "deleted"} if item.is_deleted else {})
    _text(header, "identifier", item.identifier)
    _text(header, "datestamp", item.datestamp)
    return header


def _text(parent: Element, tag: str, text: str) -> None:
    SubElement(parent, tag).text = writable(text)
