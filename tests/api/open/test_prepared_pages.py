"""Pages joined from documents are the pages that are made of rows, byte for byte."""

from typing import Any

import pytest

from portal.records import pages
from portal.records.queries import TABLES
from tests.factories.published import SmallRelease
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


def clear_documents() -> None:
    for table in TABLES.values():
        table.objects.update(document=None)


@pytest.mark.parametrize("collection", TABLES)
@pytest.mark.parametrize(
    "question",
    ["", "limit=2", "limit=3&sort=-sampled_on", "sort=uncertainty_m&limit=1", "f=ndjson&limit=5"],
)
def test_page_is_the_same_without_documents(
    reader: Actor, small: SmallRelease, collection: str, question: str
) -> None:
    path = f"/api/v1/{collection}?{question}"
    prepared = reader.get(path)

    clear_documents()

    made = reader.get(path)
    assert prepared.status_code == 200
    assert prepared.content == made.content
    assert prepared["Link"] == made["Link"]
    assert small.release.number == 1


@pytest.mark.parametrize("collection", TABLES)
def test_prepared_rows_are_those_of_chosen_fields(
    reader: Actor, small: SmallRelease, collection: str
) -> None:
    whole = reader.get(f"/api/v1/{collection}?limit=3").json()["data"]

    chosen = reader.get(f"/api/v1/{collection}?limit=3&fields=site_id,visit_id,season").json()

    assert [pick(row, chosen["data"][0]) for row in whole] == chosen["data"]
    assert len(whole) == min(3, len(getattr(small, collection)))


def pick(row: dict[str, Any], names: dict[str, Any]) -> dict[str, Any]:
    return {name: row[name] for name in names}


def test_total_asked_for_as_exact_is_exact_however_many_match(
    reader: Actor, small: SmallRelease, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pages, "EXACT_UP_TO", 3)

    exact = reader.get("/api/v1/counts?count=exact&limit=1").json()["page"]

    assert exact == {"returned": 1, "matched": len(small.counts)}
