"""The document for search engines in the pages: shapes of a community guideline, and our rules."""

import hashlib
import json
from datetime import date
from typing import Any

import pytest
from rdflib import Graph, Literal, Namespace, URIRef

from tests.conformance.standards import SHARED, needs_shared
from tests.portal.catalogue.renderings import (
    DATASET_DOI,
    RELEASE_DOI,
    SITE,
    Rendering,
    json_ld_of,
    renderings,
)

SO = Namespace("http://schema.org/")
SH = Namespace("http://www.w3.org/ns/shacl#")
SHAPES = SHARED / "standards" / "schema-org" / "dataset-shapes-1.2.3.ttl"
CONTEXT = SHARED / "standards" / "schema-org" / "schemaorgcontext-30.0.jsonld"
PAGES = ("dataset", "release 1", "release 2")

pytestmark = [
    pytest.mark.django_db,
    # The reader of JSON-LD and the validator use an older interface of the graph library.
    pytest.mark.filterwarnings("ignore:(Dataset|ConjunctiveGraph):DeprecationWarning"),
]


def documents(rendering: Rendering) -> dict[str, dict[str, Any]]:
    """Return the document of each page."""
    return {
        "dataset": json_ld_of(rendering.dataset_page),
        "release 1": json_ld_of(rendering.release_pages[1]),
        "release 2": json_ld_of(rendering.release_pages[2]),
    }


@pytest.fixture(params=PAGES)
def plain(request: pytest.FixtureRequest) -> dict[str, Any]:
    """Return the document of a page before there was a DOI."""
    return documents(renderings().plain)[request.param]


@pytest.fixture(params=PAGES)
def with_doi(request: pytest.FixtureRequest) -> dict[str, Any]:
    """Return the document of a page with the DOIs of the dataset and of release 2."""
    return documents(renderings().with_doi)[request.param]


def violations(document: dict[str, Any], context: Any = None) -> set[str]:
    """Return what the shapes say, by the last part of the path that they look at."""
    pyshacl = pytest.importorskip("pyshacl")
    read = document if context is None else document | {"@context": context}
    data = Graph().parse(data=json.dumps(read), format="json-ld")
    assert (URIRef(document["@id"]), SO.name, Literal(document["name"])) in data
    _, report, _ = pyshacl.validate(data, shacl_graph=str(SHAPES))
    return {str(path).rpartition("/")[2] for path in report.objects(None, SH.resultPath)} | {
        str(message) for message in report.objects(None, SH.resultMessage) if "ID" in str(message)
    }


# Shapes 1.2.3 of the science-on-schema.org guideline (ESIP); sameAs is only recommended there,
# and without a DOI there is no other address that names the same dataset.
@needs_shared
def test_document_fits_the_shapes(plain: dict[str, Any]) -> None:
    assert violations(plain) == {"sameAs"}


@needs_shared
def test_document_with_doi_fits_the_shapes() -> None:
    found = documents(renderings().with_doi)

    assert violations(found["dataset"]) == violations(found["release 2"]) == set()


@needs_shared
def test_document_fits_the_shapes_with_the_whole_context(plain: dict[str, Any]) -> None:
    context = json.loads(CONTEXT.read_text(encoding="utf-8"))["@context"]

    assert violations(plain, context) == {"sameAs"}


@needs_shared
@pytest.mark.parametrize("lost", ["description", "identifier", "keywords", "url", "version"])
def test_shapes_see_a_planted_fault(lost: str) -> None:
    document = documents(renderings().with_doi)["dataset"]
    del document[lost]

    assert violations(document) == {lost}


def test_document_has_one_address_and_a_description_of_fitting_length(
    plain: dict[str, Any],
) -> None:
    assert isinstance(plain["url"], str)
    assert plain["url"] == plain["@id"]
    assert 50 <= len(plain["description"]) <= 5000  # from memory
    assert plain["isAccessibleForFree"] is True


def test_identifier_is_a_node_of_its_own(with_doi: dict[str, Any]) -> None:
    assert "@id" not in with_doi["identifier"]
    assert with_doi["identifier"]["url"].startswith("https://")


def test_dois_identify_the_dataset_and_the_release() -> None:
    found = documents(renderings().with_doi)

    assert found["dataset"]["@id"] == f"https://doi.org/{DATASET_DOI}"
    assert found["dataset"]["url"] == f"{SITE}/dataset"
    assert found["release 2"]["@id"] == found["release 2"]["url"] == f"{SITE}/releases/2"
    assert found["release 2"]["sameAs"] == f"https://doi.org/{RELEASE_DOI}"
    assert found["release 2"]["identifier"]["value"] == f"doi:{RELEASE_DOI}"
    assert "sameAs" not in found["release 1"]
    assert found["release 1"]["exampleOfWork"] == {"@id": f"https://doi.org/{DATASET_DOI}"}


# "south west north east", from memory: latitude first, the south-western corner first.
def test_box_is_written_south_west_north_east(plain: dict[str, Any]) -> None:
    south, west, north, east = map(float, plain["spatialCoverage"]["geo"]["box"].split())

    assert (south, west, north, east) == (52.88, -0.73, 52.89, -0.72)


def test_days_are_an_interval(plain: dict[str, Any]) -> None:
    first, last = (date.fromisoformat(day) for day in plain["temporalCoverage"].split("/"))

    assert first <= last


def test_downloads_are_the_files() -> None:
    rendering = renderings().plain
    document = documents(rendering)["release 2"]

    assert len(document["distribution"]) >= 7
    for download in document["distribution"]:
        content = rendering.files[download["contentUrl"]]
        assert download["contentSize"] == f"{len(content)} B"
        assert download["sha256"] == hashlib.sha256(content).hexdigest()
    kinds = {download["encodingFormat"] for download in document["distribution"]}
    assert kinds == {"application/zip", "application/vnd.apache.parquet", "text/csv"}
