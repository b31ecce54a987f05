"""Whatever describes a release says the same of it as its own rows do."""

import json
import re
from decimal import Decimal
from typing import Any

import pytest
from rdflib import DCTERMS, RDF, Graph, Namespace, URIRef

from tests.portal.catalogue.renderings import (
    DATASET_DOI,
    HOLDER,
    RELEASE_DOI,
    SITE,
    TITLE,
    Rendering,
    json_ld_of,
    renderings,
)

DCAT = Namespace("http://www.w3.org/ns/dcat#")
FOAF = Namespace("http://xmlns.com/foaf/0.1/")
SKOS = Namespace("http://www.w3.org/2004/02/skos/core#")
# The address that Darwin Core gives as an example of dcterms:license.
LICENCE = "http://creativecommons.org/licenses/by/4.0/legalcode"
RELEASE = URIRef(f"{SITE}/releases/2")
EVENTS, OCCURRENCES = "event.txt", "occurrence.txt"
COVERAGE = "dataset/coverage"

pytestmark = pytest.mark.django_db


@pytest.fixture
def rendering() -> Rendering:
    """Return what is said of the newest release."""
    return renderings().plain


@pytest.fixture
def graph(rendering: Rendering) -> Graph:
    """Return the catalogue."""
    return Graph().parse(data=rendering.turtle, format="turtle")


@pytest.fixture
def document(rendering: Rendering) -> dict[str, Any]:
    """Return what the page of the release says to search engines."""
    return json_ld_of(rendering.release_pages[2])


def words(rendering: Rendering, path: str) -> str:
    """Return a text of the metadata in the archive."""
    return rendering.eml.findtext(path) or ""


def reference(rendering: Rendering) -> dict[str, Any]:
    """Return the reference as CSL-JSON."""
    (item,) = json.loads(rendering.citations["csl"])
    found: dict[str, Any] = item
    return found


def test_licence_is_the_same_everywhere(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    link = rendering.eml.find("dataset/intellectualRights/para/ulink")
    assert link is not None
    said = {
        "rows": {row["license"] for row in rendering.rows(EVENTS)},
        "EML link": {link.attrib["url"]},
        "EML licensed": {words(rendering, "dataset/licensed/url")},
        "flat rows": {row["license"] for row in rendering.rows(OCCURRENCES, "flat-archive.zip")},
        "data package": {
            licence["path"]
            for licence in json.loads(rendering.member("datapackage.json", "data-package.zip"))[
                "licenses"
            ]
        },
        "Parquet": {rendering.parquet_facts("counts.parquet")["licence_url"]},
        "DCAT": {str(licence) for licence in graph.objects(None, DCTERMS.license)},
        "DCAT files": {
            str(graph.value(file, DCTERMS.license))
            for file in graph.subjects(RDF.type, DCAT.Distribution)
        },
        "JSON-LD": {document["license"]},
        "JSON-LD files": {download["license"] for download in document["distribution"]},
        "API": {rendering.api["license"]["url"]},
        "BibTeX": set(re.findall(r"http://creative\S+(?=})", rendering.citations["bib"])),
        "RIS": set(re.findall(r"http://creative\S+", rendering.citations["ris"])),
        "CSL": {reference(rendering)["note"].rpartition(" ")[2]},
        "page": set(re.findall(r'href="(http://creative[^"]+)"', rendering.release_pages[2])),
    }

    assert said == {source: {LICENCE} for source in said}
    assert words(rendering, "dataset/licensed/identifier") == "CC-BY-4.0"
    assert 'license: "CC-BY-4.0"' in rendering.citations["cff"]


def test_title_and_owner_are_the_same_everywhere(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    owner = graph.value(RELEASE, DCTERMS.publisher)
    item = reference(rendering)

    titles = {
        words(rendering, "dataset/title"),
        str(graph.value(RELEASE, DCTERMS.title)),
        document["name"],
        item["title"],
        rendering.api["title"],
        *(row["datasetName"] for row in rendering.rows(EVENTS)),
    }
    owners = {
        words(rendering, "dataset/creator/organizationName"),
        str(graph.value(owner, FOAF.name)),
        document["creator"]["name"],
        item["author"][0]["literal"],
        *(row["rightsHolder"] for row in rendering.rows(EVENTS)),
    }

    assert titles == {TITLE}
    assert owners == {HOLDER}


def test_counts_are_those_of_the_files(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    events = rendering.rows(EVENTS)
    visits = sum(row["eventType"] == "siteVisit" for row in events)
    pits = sum(row["eventType"] == "soilPit" for row in events)
    lines = rendering.files[f"{SITE}/files/2/1/counts.csv"].count(b"\r\n") - 1

    told = {
        words(rendering, "dataset/abstract/para"),
        str(graph.value(RELEASE, DCTERMS.description)),
        document["description"],
        reference(rendering)["abstract"],
    }

    (text,) = told
    assert text.startswith("Invented data. ")
    assert text.endswith(f"Release 2 holds {visits} visits, {pits} pits and {lines} counts.")


def test_box_is_that_of_the_published_cells(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    rings = [re.findall(r"-?[0-9.]+", row["footprintWKT"]) for row in rendering.rows(EVENTS)]
    east = [Decimal(number) for ring in rings for number in ring[::2]]
    north = [Decimal(number) for ring in rings for number in ring[1::2]]
    box = (min(east), min(north), max(east), max(north))

    bounds = f"{COVERAGE}/geographicCoverage/boundingCoordinates"
    eml = tuple(
        Decimal(words(rendering, f"{bounds}/{side}BoundingCoordinate"))
        for side in ("west", "south", "east", "north")
    )
    outline = str(graph.value(graph.value(RELEASE, DCTERMS.spatial), DCAT.bbox))
    corners = [Decimal(number) for number in re.findall(r"-?[0-9.]+", outline)]
    south, west, upper, right = document["spatialCoverage"]["geo"]["box"].split()

    assert eml == box
    assert corners == [
        box[0], box[1], box[2], box[1], box[2], box[3], box[0], box[3], box[0], box[1],
    ]  # fmt: skip
    assert (Decimal(west), Decimal(south), Decimal(right), Decimal(upper)) == box


def test_days_are_those_of_the_events(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    days = sorted(row["eventDate"] for row in rendering.rows(EVENTS))
    span = (days[0], days[-1])

    dates = f"{COVERAGE}/temporalCoverage/rangeOfDates"
    period = graph.value(RELEASE, DCTERMS.temporal)

    assert span == tuple(
        words(rendering, f"{dates}/{end}Date/calendarDate") for end in ("begin", "end")
    )
    assert span == tuple(str(graph.value(period, DCAT[f"{end}Date"])) for end in ("start", "end"))
    assert "/".join(span) == document["temporalCoverage"]


def test_taxa_are_those_of_the_occurrences(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    names = {row["scientificName"] for row in rendering.rows(OCCURRENCES)}

    listed = rendering.eml.iterfind(f"{COVERAGE}/taxonomicCoverage/taxonomicClassification")
    told = {
        "EML": {taxon.findtext("taxonRankValue") for taxon in listed},
        "DCAT": {
            str(graph.value(taxon, SKOS.prefLabel))
            for taxon in graph.objects(RELEASE, DCTERMS.subject)
        },
        "JSON-LD": {taxon["name"] for taxon in document["about"]},
    }

    assert names
    assert told == dict.fromkeys(told, names)


def test_methods_are_the_same_everywhere(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    steps = rendering.eml.iterfind("dataset/methods/methodStep/description/para")
    told = {step.text for step in steps}

    statements = graph.objects(RELEASE, DCTERMS.provenance)

    assert told
    assert {str(label) for one in statements for label in graph.objects(one)} - told == {
        str(DCTERMS.ProvenanceStatement)
    }
    assert set(document["measurementTechnique"]) == told


@pytest.mark.parametrize(
    ("state", "where"), [("plain", str(RELEASE)), ("with_doi", f"https://doi.org/{RELEASE_DOI}")]
)
def test_citation_is_the_same_everywhere(state: str, where: str) -> None:
    rendering: Rendering = getattr(renderings(), state)
    graph = Graph().parse(data=rendering.turtle, format="turtle")
    citation = f"{HOLDER} (2025). {TITLE}. Release 2. {where}"

    assert rendering.citations["txt"] == f"{citation}\n"
    assert str(graph.value(RELEASE, DCTERMS.bibliographicCitation)) == citation
    assert json_ld_of(rendering.release_pages[2])["citation"] == citation
    assert json_ld_of(rendering.dataset_page)["citation"] == citation
    assert rendering.api["citation"] == citation
    assert f"Cite this release as: {citation}" in rendering.citations["cff"]
    assert f'<{where}>; rel="cite-as"' in rendering.links["/releases/2"]


def test_contributing_groups_are_named_everywhere(
    rendering: Rendering, graph: Graph, document: dict[str, Any]
) -> None:
    group = "Quellmoor diggers"

    assert group in words(rendering, "dataset/acknowledgements/para")
    contributors = graph.objects(RELEASE, DCTERMS.contributor)
    assert {str(graph.value(one, FOAF.name)) for one in contributors} == {group}
    assert [one["name"] for one in document["contributor"]] == [group]
    assert reference(rendering)["contributor"] == [{"literal": group}]
    for name in ("bib", "ris", "cff"):
        assert f"Partner groups: {group}." in rendering.citations[name]


def test_files_keep_their_bytes_when_a_doi_is_set() -> None:
    found = renderings()

    assert found.files_kept
    assert RELEASE_DOI not in found.with_doi.rows(EVENTS)[0]["datasetID"]
    assert words(found.with_doi, "additionalMetadata/metadata/release/citation").endswith(
        str(RELEASE)
    )
    assert DATASET_DOI in found.with_doi.links["/dataset"]
