"""The description of a dataset that every catalogue reads."""

from typing import Any

import pytest

from portal.archive.edition import edition_of
from portal.archive.eml import eml_document
from portal.archive.metadata import dataset_metadata
from tests.factories.published import ReleaseFactory

pytestmark = pytest.mark.django_db


def test_metadata_takes_words_from_the_release_and_the_settings(settings: Any) -> None:
    settings.PUBLIC_URL = "https://data.example.org"
    settings.DATASET = settings.DATASET | {"region": "Wennish Levels", "notice": "Invented data."}
    release = ReleaseFactory.create(number=3, title="Pits", citation="Cite me.")

    metadata = dataset_metadata(edition_of(release))

    assert metadata.package_id == "https://data.example.org/dataset/3"
    assert metadata.release_page == "https://data.example.org/api/v1/releases/3"
    assert (metadata.title, metadata.citation) == ("Pits", "Cite me.")
    assert metadata.place_description.endswith("Wennish Levels")
    assert metadata.remarks[0] == "Invented data."


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
