"""Formats of metadata."""

import pytest
from lxml import etree

from api.harvest.oai.faults import Fault
from api.harvest.oai.formats import format_of
from portal.archive.edition import edition_of
from portal.archive.eml import EML, eml_document
from portal.archive.metadata import dataset_metadata
from portal.records.models import Release
from tests.api.harvest.oai.scenes import ask, issue

GET = "verb=GetRecord&metadataPrefix=eml&identifier=oai:localhost:release/1"


def test_unknown_format_cannot_be_given() -> None:
    with pytest.raises(Fault) as caught:
        format_of("marc21")

    assert caught.value.code == "cannotDisseminateFormat"
    assert "oai_dc, eml" in caught.value.message


def test_namespaces_are_those_of_the_standards() -> None:
    # OAI-PMH 2.0, section 2.5 (from memory); the targetNamespace of eml.xsd
    assert format_of("oai_dc").namespace == "http://www.openarchives.org/OAI/2.0/oai_dc/"
    assert format_of("eml").namespace == "https://eml.ecoinformatics.org/eml-2.2.0"


@pytest.mark.django_db
def test_eml_is_the_very_document_of_the_archive() -> None:
    release = issue(1)
    in_archive = etree.fromstring(eml_document(dataset_metadata(edition_of(release))))

    given = ask(GET).find(f".//{{{EML}}}eml")

    assert canonical(given) == canonical(in_archive)


@pytest.mark.django_db
def test_eml_survives_a_title_that_xml_cannot_hold() -> None:
    issue(1)
    Release.objects.update(title="Soil\uffff animals")

    assert ask(GET).findtext(".//title") == "Soil\ufffd animals"


def canonical(element: object) -> bytes:
    """Return an element without idle space and without namespaces that it inherits."""
    text = etree.tostring(element, method="c14n2", exclusive=True, strip_text=True, with_tail=False)
    return bytes(text)
