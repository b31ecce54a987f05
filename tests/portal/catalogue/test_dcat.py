"""The graph of a catalogue at its edges; whole ones are checked in tests/conformance."""

from datetime import UTC, datetime

import pytest
from pytest_django import Settings
from rdflib import DCTERMS, RDF, Namespace, URIRef

from portal.archive.addresses import catalogue
from portal.catalogue.dcat import catalogue_graph
from portal.catalogue.entries import entries
from portal.catalogue.services import services
from portal.catalogue.writing import json_ld, turtle
from tests.factories.published import ReleaseFactory, small_release

DCAT = Namespace("http://www.w3.org/ns/dcat#")

pytestmark = pytest.mark.django_db


def test_catalogue_before_the_first_release_lists_services_only() -> None:
    graph = catalogue_graph(entries(), services())

    node = URIRef(catalogue())
    assert (node, RDF.type, DCAT.Catalog) in graph
    assert not list(graph.objects(node, DCAT.dataset))
    assert list(graph.objects(node, DCAT.service))


def test_release_without_rows_claims_no_coverage() -> None:
    ReleaseFactory.create(number=1)

    graph = catalogue_graph(entries(), [])

    for claim in (DCTERMS.spatial, DCTERMS.temporal, DCTERMS.subject, DCAT.distribution):
        assert not list(graph.subject_objects(claim))


def test_two_owners_are_two_agents() -> None:
    ReleaseFactory.create(number=1, rights_holder="Old Soil Club")
    ReleaseFactory.create(number=2, issued_at=datetime(2025, 9, 1, tzinfo=UTC))

    graph = catalogue_graph(entries(), [])

    owners = [graph.value(URIRef(entry.metadata.page), DCTERMS.publisher) for entry in entries()]
    assert len(set(owners)) == 2


def test_same_state_is_written_alike(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org"
    small_release()
    ReleaseFactory.create(number=2)

    texts = {
        (json_ld(graph), turtle(graph))
        for graph in (catalogue_graph(entries(), services()) for _ in range(3))
    }

    assert len(texts) == 1
