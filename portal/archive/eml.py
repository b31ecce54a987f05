"""Metadata of a release as an EML 2.2.0 document; the standard fixes the order of elements."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement

from portal.archive.coverage import Box, Coverage
from portal.archive.metadata import DatasetMetadata
from portal.archive.taxa import Identification
from portal.archive.values import clean_text, instant, plain_number
from portal.archive.xml_document import document
from portal.records.doi import doi_address

EML = "https://eml.ecoinformatics.org/eml-2.2.0"
_XSI = "http://www.w3.org/2001/XMLSchema-instance"


def eml_document(metadata: DatasetMetadata) -> bytes:
    """Return the EML document of a release."""
    root = Element(
        "eml:eml",
        {
            "xmlns:eml": EML,
            "xmlns:xsi": _XSI,
            "xsi:schemaLocation": f"{EML} {EML}/eml.xsd",
            "packageId": metadata.package_id,
            "system": metadata.site,
            "scope": "system",
            "xml:lang": "en",
        },
    )
    dataset = SubElement(root, "dataset")
    _resource(dataset, metadata)
    _licence(dataset, metadata)
    _coverage(dataset, metadata)
    _upkeep(dataset, metadata)
    _methods(dataset, metadata)
    _project(dataset, metadata)
    _release(root, metadata)
    return document(root)


def _resource(dataset: Element, metadata: DatasetMetadata) -> None:
    for identifier in _identifiers(metadata):
        _text(dataset, "alternateIdentifier", identifier)
    _text(dataset, "title", metadata.title).set("xml:lang", "en")
    _owner(dataset, "creator", metadata)
    _owner(dataset, "metadataProvider", metadata)
    _text(dataset, "pubDate", metadata.issued_on.isoformat())
    _text(dataset, "language", "en")
    _paragraph(dataset, "abstract", metadata.abstract)
    keywords = SubElement(dataset, "keywordSet")
    for keyword in metadata.keywords:
        _text(keywords, "keyword", keyword)
    for remark in metadata.remarks:
        _paragraph(dataset, "additionalInfo", remark)


def _identifiers(metadata: DatasetMetadata) -> Iterator[str]:
    yield metadata.identifier
    if metadata.dataset_doi:
        yield metadata.dataset_page
    if metadata.doi:
        yield doi_address(metadata.doi)


def _licence(dataset: Element, metadata: DatasetMetadata) -> None:
    rights = SubElement(SubElement(dataset, "intellectualRights"), "para")
    rights.text = "This work is licensed under "
    link = SubElement(rights, "ulink", {"url": metadata.licence.legal_text})
    link.tail = "."
    _text(link, "citetitle", metadata.licence.name)
    licensed = SubElement(dataset, "licensed")
    _text(licensed, "licenseName", metadata.licence.name)
    _text(licensed, "url", metadata.licence.legal_text)
    _text(licensed, "identifier", metadata.licence.spdx_id)
    distribution = SubElement(dataset, "distribution", {"scope": "document"})
    online = SubElement(distribution, "online")
    _text(online, "url", metadata.release_page).set("function", "information")


def _coverage(dataset: Element, metadata: DatasetMetadata) -> None:
    covered = metadata.coverage
    coverage = Element("coverage")
    if covered.box:
        _place(coverage, metadata.place_description, covered.box)
    _days(coverage, covered)
    if covered.taxa:
        taxa = SubElement(coverage, "taxonomicCoverage")
        for identification in covered.taxa:
            _taxon(taxa, identification)
    if len(coverage):
        dataset.append(coverage)


def _place(coverage: Element, description: str, box: Box) -> None:
    place = SubElement(coverage, "geographicCoverage")
    _text(place, "geographicDescription", description)
    bounds = SubElement(place, "boundingCoordinates")
    _text(bounds, "westBoundingCoordinate", plain_number(box.west))
    _text(bounds, "eastBoundingCoordinate", plain_number(box.east))
    _text(bounds, "northBoundingCoordinate", plain_number(box.north))
    _text(bounds, "southBoundingCoordinate", plain_number(box.south))


def _days(coverage: Element, covered: Coverage) -> None:
    if covered.first_on is None or covered.last_on is None:
        return
    days = SubElement(SubElement(coverage, "temporalCoverage"), "rangeOfDates")
    _text(SubElement(days, "beginDate"), "calendarDate", covered.first_on.isoformat())
    _text(SubElement(days, "endDate"), "calendarDate", covered.last_on.isoformat())


def _taxon(taxa: Element, identification: Identification) -> None:
    taxon = SubElement(taxa, "taxonomicClassification")
    if identification.rank:
        _text(taxon, "taxonRankName", identification.rank)
    _text(taxon, "taxonRankValue", identification.scientific_name)
    if identification.lineage.animals:
        _text(taxon, "commonName", identification.lineage.animals)


def _upkeep(dataset: Element, metadata: DatasetMetadata) -> None:
    _paragraph(dataset, "purpose", metadata.purpose)
    if metadata.thanks:
        _paragraph(dataset, "acknowledgements", metadata.thanks)
    maintenance = SubElement(dataset, "maintenance")
    _paragraph(maintenance, "description", metadata.maintenance)
    _text(maintenance, "maintenanceUpdateFrequency", "irregular")
    _owner(dataset, "contact", metadata)
    _owner(dataset, "publisher", metadata)


def _methods(dataset: Element, metadata: DatasetMetadata) -> None:
    if not metadata.method_steps:
        return
    methods = SubElement(dataset, "methods")
    for step in metadata.method_steps:
        _paragraph(SubElement(methods, "methodStep"), "description", step)
    sampling = SubElement(methods, "sampling")
    _paragraph(SubElement(sampling, "studyExtent"), "description", metadata.study_extent)
    _paragraph(sampling, "samplingDescription", metadata.sampling)
    _paragraph(SubElement(methods, "qualityControl"), "description", metadata.quality_control)


def _project(dataset: Element, metadata: DatasetMetadata) -> None:
    project = SubElement(dataset, "project")
    _text(project, "title", metadata.title)
    personnel = SubElement(project, "personnel")
    _text(personnel, "organizationName", metadata.rights_holder)
    _text(personnel, "role", "principalInvestigator")


def _release(root: Element, metadata: DatasetMetadata) -> None:
    holder = SubElement(SubElement(root, "additionalMetadata"), "metadata")
    release = SubElement(holder, "release")
    _text(release, "version", str(metadata.release_number))
    _text(release, "dateStamp", instant(metadata.issued_at))
    _text(release, "citation", metadata.citation)


def _owner(parent: Element, role: str, metadata: DatasetMetadata) -> None:
    owner = SubElement(parent, role)
    _text(owner, "organizationName", metadata.rights_holder)
    if role == "contact":
        _text(owner, "positionName", "Data manager")
    _text(owner, "electronicMailAddress", metadata.contact)
    _text(owner, "onlineUrl", metadata.site)


def _paragraph(parent: Element, tag: str, text: str) -> None:
    _text(SubElement(parent, tag), "para", text)


def _text(parent: Element, tag: str, text: str) -> Element:
    element = SubElement(parent, tag)
    element.text = clean_text(text)
    return element
