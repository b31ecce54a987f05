"""The catalogue as a graph: DCAT 3 in the application profile DCAT-AP 3.0.1.

The dataset keeps one name for ever; each release is a version of it, with a distribution for
every file that stands. No node is blank, so that the same state is always written alike.
"""

from collections.abc import Sequence
from datetime import datetime

from django.conf import settings
from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS, XSD

from portal.archive import addresses
from portal.archive.coverage import Box
from portal.archive.licences import licence
from portal.archive.metadata import DatasetMetadata
from portal.archive.release_files import ARCHIVE, DATA_PACKAGE, FLAT_ARCHIVE, LABELS
from portal.archive.values import plain_number
from portal.catalogue.entries import Entry
from portal.catalogue.nodes import (
    ADMS,
    DCAT,
    GEO,
    PREFIXES,
    SPDX,
    agent_node,
    contact_node,
    english,
    licence_node,
    page_node,
    slug,
    standard_node,
    typed,
)
from portal.catalogue.services import Service
from portal.records.doi import doi_address
from portal.records.models import ReleaseFile

_EU = "http://publications.europa.eu/resource/authority"
_IRREGULAR = URIRef(f"{_EU}/frequency/IRREG")
_PUBLIC = URIRef(f"{_EU}/access-right/PUBLIC")
_ENGLISH = URIRef(f"{_EU}/language/ENG")
_MEDIA_TYPES = "http://www.iana.org/assignments/media-types"
_TEXT_GUIDE = "http://rs.tdwg.org/dwc/terms/guides/text/"
# By the name of a file or by its media type.
_STANDARDS = {
    ARCHIVE: _TEXT_GUIDE,
    FLAT_ARCHIVE: _TEXT_GUIDE,
    DATA_PACKAGE: "https://specs.frictionlessdata.io/data-package/",
    "text/csv": "https://www.rfc-editor.org/info/rfc4180",
}


def catalogue_graph(listed: Sequence[Entry], services: Sequence[Service]) -> Graph:
    """Return the catalogue.

    Parameters
    ----------
    listed
        All releases, the newest first; may be empty.
    services
        The services that the site has.
    """
    graph = Graph(bind_namespaces="none")
    for prefix, namespace in PREFIXES.items():
        graph.bind(prefix, namespace)
    catalogue = _catalogue(graph)
    if listed:
        graph.add((catalogue, DCTERMS.modified, _instant(max(one.changed_at for one in listed))))
        graph.add((catalogue, DCAT.dataset, _dataset(graph, listed)))
    for entry in listed:
        graph.add((catalogue, DCAT.dataset, _release(graph, entry, listed)))
    for service in services:
        graph.add((catalogue, DCAT.service, _service(graph, service, listed)))
    return graph


def _catalogue(graph: Graph) -> URIRef:
    catalogue = URIRef(addresses.catalogue())
    owner = settings.DATASET["rights_holder"]
    graph.add((catalogue, RDF.type, DCAT.Catalog))
    graph.add((catalogue, DCTERMS.title, english(f"Data catalogue of {owner}")))
    graph.add(
        (catalogue, DCTERMS.description, english("An open dataset, its releases and services."))
    )
    graph.add((catalogue, DCTERMS.publisher, agent_node(graph, owner)))
    graph.add((catalogue, DCTERMS.license, licence_node(graph, licence(settings.RELEASE_LICENCE))))
    graph.add((catalogue, DCTERMS.language, typed(graph, _ENGLISH, DCTERMS.LinguisticSystem)))
    return catalogue


def _dataset(graph: Graph, listed: Sequence[Entry]) -> URIRef:
    """Add the dataset under its lasting name, described by its newest release."""
    newest, first = listed[0], listed[-1]
    metadata = newest.metadata
    dataset = URIRef(metadata.identifier)
    _describe(graph, dataset, metadata)
    _identify(graph, dataset, metadata.identifier, metadata.dataset_doi)
    graph.add((dataset, DCTERMS.issued, _day(first.metadata)))
    graph.add((dataset, DCTERMS.modified, _instant(newest.changed_at)))
    graph.add((dataset, DCAT.landingPage, page_node(graph, metadata.dataset_page)))
    graph.add((dataset, DCAT.hasCurrentVersion, URIRef(metadata.page)))
    for entry in listed:
        graph.add((dataset, DCAT.hasVersion, URIRef(entry.metadata.page)))
    return dataset


def _release(graph: Graph, entry: Entry, listed: Sequence[Entry]) -> URIRef:
    metadata = entry.metadata
    release = URIRef(metadata.page)
    _describe(graph, release, metadata)
    where = doi_address(metadata.doi) if metadata.doi else metadata.page
    _identify(graph, release, where, metadata.doi)
    graph.add((release, DCTERMS.bibliographicCitation, Literal(metadata.citation)))
    graph.add((release, DCTERMS.issued, _day(metadata)))
    graph.add((release, DCTERMS.modified, _instant(entry.changed_at)))
    graph.add((release, DCAT.version, Literal(str(metadata.release_number))))
    graph.add((release, DCAT.isVersionOf, URIRef(metadata.identifier)))
    graph.add((release, DCAT.landingPage, page_node(graph, metadata.page)))
    older = listed[listed.index(entry) + 1 :]
    if older:
        graph.add((release, DCAT.previousVersion, URIRef(older[0].metadata.page)))
    for file in entry.files:
        graph.add((release, DCAT.distribution, _distribution(graph, file, metadata)))
    return release


def _describe(graph: Graph, node: URIRef, metadata: DatasetMetadata) -> None:
    """Add what is true of a release and, by its newest release, of the dataset."""
    owner = agent_node(graph, metadata.rights_holder)
    graph.add((node, RDF.type, DCAT.Dataset))
    graph.add((node, DCTERMS.title, english(metadata.title)))
    graph.add((node, DCTERMS.description, english(metadata.abstract)))
    graph.add((node, DCTERMS.publisher, owner))
    graph.add((node, DCTERMS.creator, owner))
    for name in metadata.credits:
        graph.add((node, DCTERMS.contributor, agent_node(graph, name)))
    graph.add((node, DCTERMS.license, licence_node(graph, metadata.licence)))
    graph.add((node, DCTERMS.accessRights, typed(graph, _PUBLIC, DCTERMS.RightsStatement)))
    graph.add((node, DCTERMS.accrualPeriodicity, typed(graph, _IRREGULAR, DCTERMS.Frequency)))
    graph.add((node, DCTERMS.language, typed(graph, _ENGLISH, DCTERMS.LinguisticSystem)))
    graph.add((node, DCAT.contactPoint, contact_node(graph, metadata)))
    for keyword in metadata.keywords:
        graph.add((node, DCAT.keyword, english(keyword)))
    _cover(graph, node, metadata)
    _tell_methods(graph, node, metadata)


def _cover(graph: Graph, node: URIRef, metadata: DatasetMetadata) -> None:
    covered = metadata.coverage
    if covered.box:
        place = typed(graph, URIRef(f"{metadata.page}#place"), DCTERMS.Location)
        graph.add((place, SKOS.prefLabel, english(metadata.place_description)))
        graph.add((place, DCAT.bbox, Literal(_outline(covered.box), datatype=GEO.wktLiteral)))
        graph.add((node, DCTERMS.spatial, place))
    if covered.first_on and covered.last_on:
        days = typed(graph, URIRef(f"{metadata.page}#days"), DCTERMS.PeriodOfTime)
        graph.add((days, DCAT.startDate, Literal(covered.first_on)))
        graph.add((days, DCAT.endDate, Literal(covered.last_on)))
        graph.add((node, DCTERMS.temporal, days))
    for identification in covered.taxa:
        address = f"{addresses.catalogue()}#taxon-{slug(identification.name)}"
        taxon = typed(graph, URIRef(address), SKOS.Concept)
        graph.add((taxon, SKOS.prefLabel, Literal(identification.scientific_name)))
        graph.add((node, DCTERMS.subject, taxon))


def _tell_methods(graph: Graph, node: URIRef, metadata: DatasetMetadata) -> None:
    for number, step in enumerate(metadata.method_steps, start=1):
        address = URIRef(f"{metadata.page}#method-{number}")
        statement = typed(graph, address, DCTERMS.ProvenanceStatement)
        graph.add((statement, RDFS.label, english(step)))
        graph.add((node, DCTERMS.provenance, statement))


def _distribution(graph: Graph, file: ReleaseFile, metadata: DatasetMetadata) -> URIRef:
    address = addresses.file(file.release_id, file.build, file.name)
    distribution = typed(graph, URIRef(f"{address}#distribution"), DCAT.Distribution)
    kind = file.media_type.partition(";")[0]
    media_type = typed(graph, URIRef(f"{_MEDIA_TYPES}/{kind}"), DCTERMS.MediaType)
    graph.add((distribution, DCTERMS.title, english(LABELS[file.name])))
    graph.add((distribution, DCTERMS.license, licence_node(graph, metadata.licence)))
    graph.add((distribution, DCTERMS.modified, _instant(file.built_at)))
    graph.add((distribution, DCAT.version, Literal(str(metadata.release_number))))
    graph.add((distribution, DCAT.accessURL, URIRef(metadata.page)))
    graph.add((distribution, DCAT.downloadURL, URIRef(address)))
    graph.add((distribution, DCAT.mediaType, media_type))
    size = Literal(str(file.size_bytes), datatype=XSD.nonNegativeInteger)
    graph.add((distribution, DCAT.byteSize, size))
    graph.add((distribution, SPDX.checksum, _checksum(graph, address, file)))
    standard = _STANDARDS.get(file.name) or _STANDARDS.get(kind)
    if standard:
        graph.add((distribution, DCTERMS.conformsTo, standard_node(graph, standard)))
    return distribution


def _checksum(graph: Graph, address: str, file: ReleaseFile) -> URIRef:
    checksum = typed(graph, URIRef(f"{address}#checksum"), SPDX.Checksum)
    algorithm = typed(graph, SPDX.checksumAlgorithm_sha256, SPDX.ChecksumAlgorithm)
    graph.add((checksum, SPDX.algorithm, algorithm))
    graph.add((checksum, SPDX.checksumValue, Literal(file.sha256, datatype=XSD.hexBinary)))
    return checksum


def _service(graph: Graph, service: Service, listed: Sequence[Entry]) -> URIRef:
    node = typed(graph, URIRef(service.endpoint), DCAT.DataService)
    owner = settings.DATASET["rights_holder"]
    graph.add((node, DCTERMS.title, english(service.title)))
    graph.add((node, DCTERMS.publisher, agent_node(graph, owner)))
    graph.add((node, DCTERMS.license, licence_node(graph, licence(settings.RELEASE_LICENCE))))
    graph.add((node, DCAT.endpointURL, URIRef(service.endpoint)))
    graph.add((node, DCAT.endpointDescription, URIRef(service.description)))
    for entry in listed[:1]:
        graph.add((node, DCAT.servesDataset, URIRef(entry.metadata.identifier)))
    if service.standard:
        graph.add((node, DCTERMS.conformsTo, standard_node(graph, service.standard)))
    return node


def _identify(graph: Graph, node: URIRef, identifier: str, doi: str) -> None:
    graph.add((node, DCTERMS.identifier, Literal(identifier)))
    if doi:
        address = URIRef(f"{addresses.catalogue()}#doi-{slug(doi)}")
        told = typed(graph, address, ADMS.Identifier)
        graph.add((told, SKOS.notation, Literal(doi_address(doi), datatype=XSD.anyURI)))
        graph.add((node, ADMS.identifier, told))


def _day(metadata: DatasetMetadata) -> Literal:
    return Literal(metadata.issued_on)


def _instant(at: datetime) -> Literal:
    return Literal(at)


def _outline(box: Box) -> str:
    west, south, east, north = (
        plain_number(side) for side in (box.west, box.south, box.east, box.north)
    )
    corners = f"{west} {south}, {east} {south}, {east} {north}, {west} {north}, {west} {south}"
    return f"POLYGON (({corners}))"
