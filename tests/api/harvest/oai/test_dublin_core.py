"""Dublin Core of a release and of the dataset."""

from datetime import date
from decimal import Decimal

import pytest
from pytest_django import Settings

from api.harvest.oai.dublin_core import dublin_core
from api.harvest.oai.items import Item, items
from portal.archive.edition import edition_of
from portal.archive.metadata import dataset_metadata
from portal.records.models import Release, ReleaseFile
from tests.api.harvest.oai.scenes import build, day, issue
from tests.factories.published import ReleaseFactory

pytestmark = pytest.mark.django_db


def values(item: Item) -> dict[str, list[str]]:
    metadata = dataset_metadata(edition_of(Release.objects.get(number=item.release)))
    found: dict[str, list[str]] = {}
    for element in dublin_core(item, metadata):
        found.setdefault(element.tag.removeprefix("dc:"), []).append(str(element.text))
    return found


def named(name: str) -> dict[str, list[str]]:
    return values(next(item for item in items() if item.identifier.endswith(name)))


def test_release_is_described() -> None:
    issue(1)

    found = named("release/1")

    assert found["title"] == ["Soil animals of paired pits"]
    assert found["creator"] == found["publisher"] == ["Example Soil Survey Consortium"]
    assert found["date"] == ["2025-06-01"]
    assert found["type"] == ["Dataset"]  # DCMI Type Vocabulary
    assert found["language"] == ["en"]
    assert found["rights"] == ["http://creativecommons.org/licenses/by/4.0/legalcode"]
    assert found["identifier"] == ["http://localhost:8000/releases/1"]
    assert found["relation"] == ["http://localhost:8000/dataset"]
    assert "earthworms" in found["subject"]


def test_groups_that_agreed_to_be_named_contributed() -> None:
    issue(1)
    Release.objects.update(credits=[{"code": "QVD", "name": "Quellmoor diggers", "visits": 1}])

    assert named("release/1")["contributor"] == ["Quellmoor diggers"]


def test_doi_is_a_second_identifier(settings: Settings) -> None:
    issue(1)
    settings.DATASET_DOI = "10.5555/pits"
    Release.objects.update(doi="10.5555/pits-1", doi_set_at=day(2))

    assert named("release/1")["identifier"][1:] == ["https://doi.org/10.5555/pits-1"]
    assert named("release/1")["relation"] == ["https://doi.org/10.5555/pits"]
    assert named("dataset")["identifier"] == [
        "http://localhost:8000/dataset",
        "https://doi.org/10.5555/pits",
    ]


def test_release_leads_to_the_one_after_it() -> None:
    issue(1)
    issue(2)

    assert named("release/1")["relation"] == [
        "http://localhost:8000/dataset",
        "http://localhost:8000/releases/2",
    ]


def test_dataset_is_described_by_its_newest_release() -> None:
    issue(1)
    issue(2)

    found = named("dataset")

    assert found["identifier"] == ["http://localhost:8000/dataset"]
    assert found["relation"] == ["http://localhost:8000/releases/2"]
    assert found["date"] == ["2025-06-02"]


def test_formats_are_those_of_the_files_that_can_be_had() -> None:
    issue(1)
    ReleaseFile.objects.update(media_type="text/tab-separated-values")
    build(1, day(2))

    assert named("release/1")["format"] == ["application/zip", "text/csv"]


def test_coverage_is_a_box_and_a_period() -> None:
    """DCMI Box and DCMI Period encoding schemes (DCMI, 2000 and 2006; from memory)."""
    issue(1)

    box, period = (parts(text) for text in named("release/1")["coverage"])

    # the cell of the factory's visit, 0.01 degrees wide around 52.885, -0.715
    assert [Decimal(box[f"{side}limit"]) for side in ("south", "north", "west", "east")] == [
        Decimal("52.88"), Decimal("52.89"), Decimal("-0.72"), Decimal("-0.71"),
    ]  # fmt: skip
    assert date.fromisoformat(period["start"]) == date(2025, 3, 15)
    assert period["scheme"] == "W3C-DTF"


def test_region_cannot_end_the_box_early(settings: Settings) -> None:
    settings.DATASET = settings.DATASET | {"region": "Here; northlimit=0"}
    issue(1)

    box = parts(named("release/1")["coverage"][0])

    assert Decimal(box["northlimit"]) == Decimal("52.89")
    assert box["name"].endswith("Here, northlimit=0")


def test_release_without_rows_says_no_coverage() -> None:
    ReleaseFactory.create(number=1)

    found = named("release/1")

    assert "coverage" not in found
    assert "format" not in found


def test_text_is_kept_to_what_xml_can_hold() -> None:
    issue(1)
    Release.objects.update(title="Soil\x08 <animals>\uffff")

    assert named("release/1")["title"] == ["Soil\ufffd <animals>\ufffd"]


def parts(text: str) -> dict[str, str]:
    """Return the components of a DCMI string."""
    pairs = (component.split("=", 1) for component in text.rstrip(";").split("; "))
    return {name.strip(): value for name, value in pairs}
