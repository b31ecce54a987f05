"""Parts of a graph that several resources of a catalogue share, each under its own address."""

import re
from urllib.parse import quote

from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, FOAF, RDF, RDFS, SKOS, XSD

from portal.archive import addresses
from portal.archive.licences import Licence
from portal.archive.metadata import DatasetMetadata

ADMS = Namespace("http://www.w3.org/ns/adms#")
DCAT = Namespace("http://www.w3.org/ns/dcat#")  # version 3; the library has the terms of 2
GEO = Namespace("http://www.opengis.net/ont/geosparql#")
SPDX = Namespace("http://spdx.org/rdf/terms#")
VCARD = Namespace("http://www.w3.org/2006/vcard/ns#")
PREFIXES = {
    "adms": str(ADMS),
    "dcat": str(DCAT),
    "dct": str(DCTERMS),
    "foaf": str(FOAF),
    "geo": str(GEO),
    "rdfs": str(RDFS),
    "skos": str(SKOS),
    "spdx": str(SPDX),
    "vcard": str(VCARD),
    "xsd": str(XSD),
}


def agent_node(graph: Graph, name: str) -> URIRef:
    """Return an organisation by its name."""
    address = URIRef(f"{addresses.catalogue()}#agent-{slug(name)}")
    graph.add((address, FOAF.name, Literal(name)))
    return typed(graph, address, FOAF.Agent)


def contact_node(graph: Graph, metadata: DatasetMetadata) -> URIRef:
    """Return whom to ask about the dataset."""
    contact = typed(graph, URIRef(f"{addresses.catalogue()}#contact"), VCARD.Kind)
    typed(graph, contact, VCARD.Organization)
    graph.add((contact, VCARD.fn, Literal("Data manager")))
    graph.add((contact, VCARD.hasEmail, URIRef(f"mailto:{quote(metadata.contact, safe='@')}")))
    return contact


def licence_node(graph: Graph, terms: Licence) -> URIRef:
    """Return a licence under the address of its legal text, as the rows have it."""
    return typed(graph, URIRef(terms.legal_text), DCTERMS.LicenseDocument)


def standard_node(graph: Graph, address: str) -> URIRef:
    """Return a standard that something conforms to."""
    return typed(graph, URIRef(address), DCTERMS.Standard)


def page_node(graph: Graph, address: str) -> URIRef:
    """Return a page for people."""
    return typed(graph, URIRef(address), FOAF.Document)


def typed(graph: Graph, node: URIRef, kind: URIRef) -> URIRef:
    """Say of what class a node is: a shape must not fetch it to know."""
    graph.add((node, RDF.type, kind))
    return node


def slug(text: str) -> str:
    """Return a text as the last part of an address."""
    return re.sub(r"\W+", "-", text.lower()).strip("-")


def english(text: str) -> Literal:
    """Return a text in English."""
    return Literal(text, lang="en")
