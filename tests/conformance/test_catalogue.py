"""The catalogue (DCAT 3, DCAT-AP 3.0.1): its shapes, our own rule, and the files behind it."""

import hashlib
import json
from typing import Any

import pytest
from rdflib import DCTERMS, RDF, Graph, Literal, Namespace, URIRef
from rdflib.compare import isomorphic

from tests.conformance.standards import SHARED, needs_shared
from tests.portal.catalogue.renderings import (
    DATASET_DOI,
    RELEASE_DOI,
    SITE,
    Rendering,
    renderings,
)

DCAT = Namespace("http://www.w3.org/ns/dcat#")
ADMS = Namespace("http://www.w3.org/ns/adms#")
SPDX = Namespace("http://spdx.org/rdf/terms#")
SKOS = Namespace("http://www.w3.org/2004/02/skos/core#")
SHAPES = SHARED / "standards" / "dcat" / "dcat-ap-3.0.1-SHACL.ttl"

pytestmark = [
    pytest.mark.django_db,
    # The reader of JSON-LD and the validator use an older interface of the graph library.
    pytest.mark.filterwarnings("ignore:(Dataset|ConjunctiveGraph):DeprecationWarning"),
]


@pytest.fixture(params=["plain", "with_doi"])
def rendering(request: pytest.FixtureRequest) -> Rendering:
    """Return the catalogue without any DOI, and with two."""
    found: Rendering = getattr(renderings(), request.param)
    return found


@pytest.fixture
def graph(rendering: Rendering) -> Graph:
    """Return the catalogue as read from its JSON-LD; nothing is fetched."""
    return Graph().parse(data=rendering.catalogue, format="json-ld")


def one(graph: Graph, subject: Any, predicate: URIRef) -> Any:
    (found,) = graph.objects(subject, predicate)
    return found


def test_catalogue_says_the_same_in_turtle(rendering: Rendering, graph: Graph) -> None:
    turtle = Graph().parse(data=rendering.turtle, format="turtle")

    assert isomorphic(graph, turtle)
    assert len(graph) > 100


# Shapes of DCAT-AP 3.0.1 (SEMIC), with two broken references taken out (see the kit's README).
@needs_shared
def test_catalogue_fits_the_shapes_of_the_profile(graph: Graph) -> None:
    pyshacl = pytest.importorskip("pyshacl")

    conforms, _, report = pyshacl.validate(graph, shacl_graph=str(SHAPES))

    assert conforms, report


@needs_shared
@pytest.mark.parametrize("lost", [DCTERMS.title, DCTERMS.description, DCAT.accessURL])
def test_shapes_see_a_planted_fault(lost: URIRef) -> None:
    pyshacl = pytest.importorskip("pyshacl")
    graph = Graph().parse(data=renderings().plain.turtle, format="turtle")
    graph.remove((None, lost, None))

    conforms, _, _ = pyshacl.validate(graph, shacl_graph=str(SHAPES))

    assert not conforms


# The vocabulary itself, DCAT 3 (W3C).
@needs_shared
def test_catalogue_uses_only_terms_of_the_vocabulary(graph: Graph) -> None:
    known = set(Graph().parse(SHARED / "standards" / "dcat" / "dcat3.ttl").subjects())

    used = {node for triple in graph for node in triple if str(node).startswith(str(DCAT))}

    assert DCAT.hasCurrentVersion in used
    assert used <= known


# The shapes ask for no licence, checksum or version: these are our own rule.
def test_every_distribution_has_licence_checksum_and_version(graph: Graph) -> None:
    distributions = list(graph.subjects(RDF.type, DCAT.Distribution))

    assert len(distributions) >= 14
    for node in distributions:
        assert str(one(graph, node, DCTERMS.license)).startswith("http://creativecommons.org/")
        checksum = one(graph, node, SPDX.checksum)
        assert one(graph, checksum, SPDX.algorithm) == SPDX.checksumAlgorithm_sha256
        assert len(str(one(graph, checksum, SPDX.checksumValue))) == 64
        assert str(one(graph, node, DCAT.version)) in {"1", "2"}


def test_size_and_checksum_are_those_of_the_file(rendering: Rendering, graph: Graph) -> None:
    seen = 0
    for node in graph.subjects(RDF.type, DCAT.Distribution):
        content = rendering.files[str(one(graph, node, DCAT.downloadURL))]
        checksum = one(graph, one(graph, node, SPDX.checksum), SPDX.checksumValue)
        assert int(one(graph, node, DCAT.byteSize)) == len(content)
        assert str(checksum) == hashlib.sha256(content).hexdigest()
        seen += 1

    assert seen == len(rendering.files)


def test_archives_conform_to_the_text_guide(graph: Graph) -> None:
    archive = URIRef(f"{SITE}/files/2/1/archive.zip#distribution")

    assert str(one(graph, archive, DCTERMS.conformsTo)) == (
        "http://rs.tdwg.org/dwc/terms/guides/text/"
    )
    assert str(one(graph, archive, DCAT.mediaType)) == (
        "http://www.iana.org/assignments/media-types/application/zip"
    )


def test_releases_are_a_chain_of_versions(rendering: Rendering, graph: Graph) -> None:
    with_doi = rendering is renderings().with_doi
    dataset = URIRef(f"https://doi.org/{DATASET_DOI}" if with_doi else f"{SITE}/dataset")
    older, newer = URIRef(f"{SITE}/releases/1"), URIRef(f"{SITE}/releases/2")

    assert set(graph.objects(dataset, DCAT.hasVersion)) == {older, newer}
    assert one(graph, dataset, DCAT.hasCurrentVersion) == newer
    assert one(graph, newer, DCAT.previousVersion) == older
    assert not list(graph.objects(older, DCAT.previousVersion))
    for number, release in enumerate((older, newer), start=1):
        assert one(graph, release, DCAT.isVersionOf) == dataset
        assert one(graph, release, DCAT.version) == Literal(str(number))
    listed = set(graph.objects(URIRef(f"{SITE}/catalogue"), DCAT.dataset))
    assert listed == {dataset, older, newer}


def test_identifiers_are_the_dois_once_they_are_set() -> None:
    graph = Graph().parse(data=renderings().with_doi.turtle, format="turtle")
    newer = URIRef(f"{SITE}/releases/2")
    doi = f"https://doi.org/{RELEASE_DOI}"

    assert str(one(graph, newer, DCTERMS.identifier)) == doi
    assert str(one(graph, one(graph, newer, ADMS.identifier), SKOS.notation)) == doi
    older = URIRef(f"{SITE}/releases/1")
    assert str(one(graph, older, DCTERMS.identifier)) == f"{SITE}/releases/1"
    assert not list(graph.objects(older, ADMS.identifier))


def test_services_describe_themselves(graph: Graph) -> None:
    api = URIRef(f"{SITE}/api/v1")

    assert one(graph, api, DCAT.endpointURL) == api
    assert str(one(graph, api, DCAT.endpointDescription)) == f"{SITE}/api/v1/openapi.json"
    assert one(graph, api, DCAT.servesDataset) in set(graph.subjects(RDF.type, DCAT.Dataset))


def test_every_address_of_the_site_is_absolute_and_ours(rendering: Rendering) -> None:
    document = json.loads(rendering.catalogue)

    names = [node["@id"] for node in document["@graph"]]

    assert all("://" in name or ":" in name for name in names)
    assert not [name for name in names if "localhost" in name or name.startswith("_:")]
