"""How a snapshot is cited."""

import json

import pytest

from portal.catalogue.citations import bibtex, csl_json, ris
from portal.catalogue.schema_org import snapshot_json_ld
from portal.records.models import PublishedVisit, Release
from portal.snapshots.citing import CitedSnapshot, cited
from portal.snapshots.models import Snapshot
from tests.factories.published import PublishedVisitFactory, ReleaseFactory
from tests.portal.snapshots.freezing import frozen

pytestmark = pytest.mark.django_db


def work(*codes: str | None) -> CitedSnapshot:
    """Return a snapshot of a visit of each group."""
    release = ReleaseFactory.create(
        number=1, credits=[{"code": "QVD", "name": "Quellmoor diggers", "visits": 1}]
    )
    for code in codes:
        PublishedVisitFactory.create(group_code=code)
    return cited(frozen(release, "visits"))


@pytest.mark.parametrize(
    ("codes", "thanks"),
    [
        (["QVD"], "Recorded by Quellmoor diggers. "),
        (["QVD", None], "Recorded by Quellmoor diggers and other partner groups. "),
        ([None], "Recorded by partner groups. "),
        ([], ""),
    ],
)
def test_citation_names_rows_release_groups_and_address(
    codes: list[str | None], thanks: str
) -> None:
    found = work(*codes)

    name = found.snapshot.id
    assert found.citation == (
        "Example Soil Survey Consortium (2026). Soil animals of paired pits: "
        f"{len(codes)} visits, frozen on 2026-02-03. Release 1, snapshot {name}. {thanks}"
        f"http://localhost:8000/snapshots/{name}"
    )


def test_reference_managers_get_the_snapshot_and_not_its_release() -> None:
    found = work("QVD")
    name = found.snapshot.id

    entry, lines = bibtex(found), ris(found).split("\r\n")
    (item,) = json.loads(csl_json(found))

    assert entry.startswith(f"@misc{{soil-animals-of-paired-2026-snapshot-{name},\n")
    assert f"url = {{http://localhost:8000/snapshots/{name}}}" in entry
    assert "UR  - " + found.page in lines
    assert "PY  - 2026" in lines
    assert item["URL"] == found.page
    assert item["contributor"] == [{"literal": "Quellmoor diggers"}]
    assert item["issued"] == {"date-parts": [[2026, 2, 3]]}
    assert found.snapshot.sha256 in item["abstract"]


def test_search_engines_are_told_what_it_is_a_part_of() -> None:
    found = work("QVD")

    node = snapshot_json_ld(found)

    assert node["@type"] == "Dataset"  # schema.org: Dataset, isPartOf, isBasedOn, DataDownload
    assert node["url"] == node["@id"] == found.page
    assert node["isPartOf"] == {"@type": "Dataset", "@id": "http://localhost:8000/releases/1"}
    assert node["isBasedOn"] == "http://localhost:8000/releases/1"
    assert node["citation"] == found.citation
    (ndjson,) = [one for one in node["distribution"] if "sha256" in one]
    assert ndjson["sha256"] == found.snapshot.sha256
    assert ndjson["contentUrl"].endswith("/rows?f=ndjson&limit=all")


@pytest.mark.parametrize("gone", ["code", "row", "credit"])
def test_name_goes_with_its_code(gone: str) -> None:
    snapshot = work("QVD", None).snapshot
    rows = PublishedVisit.objects.filter(group_code="QVD")
    if gone == "code":
        rows.update(group_code=None)
    elif gone == "row":
        rows.delete()
    else:
        Release.objects.update(credits=[])

    found = cited(Snapshot.objects.select_related("release").get(pk=snapshot.pk))

    assert (found.groups, found.has_other_groups) == ((), True)
    assert "Quellmoor" not in found.citation
    assert "Recorded by partner groups." in found.citation
