"""The description of a dataset that every catalogue reads."""

from datetime import UTC, datetime
from xml.etree import ElementTree as ET

import pytest
from pytest_django import Settings

from portal.archive.edition import edition_of
from portal.archive.eml import eml_document
from portal.archive.metadata import dataset_metadata
from tests.conformance.standards import needs_shared, violations
from tests.factories.published import ReleaseFactory, small_release

pytestmark = pytest.mark.django_db


def test_metadata_takes_words_from_the_release_and_the_settings(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org"
    settings.DATASET = settings.DATASET | {"region": "Wennish Levels", "notice": "Invented data."}
    release = ReleaseFactory.create(number=3, title="Pits", rights_holder="Soil Club")

    metadata = dataset_metadata(edition_of(release))

    assert metadata.package_id == "https://data.example.org/dataset/3"
    assert metadata.page == "https://data.example.org/releases/3"
    assert metadata.release_page == "https://data.example.org/api/v1/releases/3"
    assert (metadata.title, metadata.rights_holder) == ("Pits", "Soil Club")
    assert metadata.citation == f"Soil Club (2025). Pits. Release 3. {metadata.page}"
    assert metadata.place_description.endswith("Wennish Levels")
    assert metadata.abstract.startswith("Invented data. Counts of soil animals")


def test_metadata_counts_the_rows_of_its_release() -> None:
    metadata = dataset_metadata(edition_of(small_release().release))

    assert metadata.rows == {"visits": 2, "pits": 4, "counts": 32}
    assert metadata.abstract.endswith("Release 1 holds 2 visits, 4 pits and 32 counts.")


def test_dois_identify_dataset_and_release_in_eml(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org"
    settings.DATASET_DOI = "10.5555/pits"
    release = ReleaseFactory.create(
        number=3, doi="10.5555/pits-3", doi_set_at=datetime(2025, 7, 1, tzinfo=UTC)
    )

    metadata = dataset_metadata(edition_of(release))
    root = ET.fromstring(eml_document(metadata))  # noqa: S314 -- our own document

    assert metadata.identifier == "https://doi.org/10.5555/pits"
    assert root.attrib["packageId"] == "10.5555/pits/3"
    assert [one.text for one in root.iterfind("dataset/alternateIdentifier")] == [
        "https://doi.org/10.5555/pits",
        "https://data.example.org/dataset",
        "https://doi.org/10.5555/pits-3",
    ]
    citation = root.findtext("additionalMetadata/metadata/release/citation") or ""
    assert citation.endswith("Release 3. https://doi.org/10.5555/pits-3")


@needs_shared
def test_eml_with_dois_is_valid_by_the_schema(settings: Settings) -> None:
    settings.DATASET_DOI = "10.5555/pits"
    release = ReleaseFactory.create(
        doi="10.5555/pits-1", doi_set_at=datetime(2025, 7, 1, tzinfo=UTC)
    )

    document = eml_document(dataset_metadata(edition_of(release)))

    assert violations("eml-2.2.0/eml.xsd", document) == []


def test_eml_credits_groups_that_agreed() -> None:
    credited = [
        {"code": "QVD", "name": "Quellmoor Village Diggers", "visits": 22},
        {"code": "VFR", "name": "Velmarsh Farm Ring", "visits": 20},
    ]
    release = ReleaseFactory.create(credits=credited)

    document = eml_document(dataset_metadata(edition_of(release))).decode()

    assert "<para>Partner groups: Quellmoor Village Diggers, Velmarsh Farm Ring.</para>" in document


def test_eml_of_a_release_without_credits_thanks_nobody() -> None:
    document = eml_document(dataset_metadata(edition_of(ReleaseFactory.create()))).decode()

    assert "acknowledgements" not in document


def test_eml_escapes_and_cleans_words() -> None:
    release = ReleaseFactory.create(title="Worms & <pits>\x0b\x07")

    document = eml_document(dataset_metadata(edition_of(release))).decode()

    assert "Worms &amp; &lt;pits&gt;</title>" in document
