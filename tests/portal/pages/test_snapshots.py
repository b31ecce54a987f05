"""The page of a snapshot."""

import json
import re

import pytest
from django.test import Client

from portal.records.models import PublishedVisit
from tests.factories.published import (
    ChangeEntryFactory,
    SmallRelease,
    TombstoneFactory,
    small_release,
)
from tests.portal.snapshots.freezing import frozen

pytestmark = pytest.mark.django_db


def withdraw(small: SmallRelease) -> str:
    """Withdraw a visit; return its id."""
    gone = small.visits[0].id
    TombstoneFactory.create(id=gone, entry=ChangeEntryFactory.create())
    PublishedVisit.objects.filter(id=gone).delete()
    return str(gone)


def test_page_shows_what_was_frozen_and_how_to_cite_it(visitor: Client) -> None:
    snapshot = frozen(small_release().release)

    answer = visitor.get(f"/snapshots/{snapshot.id}")

    page = answer.content.decode()
    assert answer.status_code == 200
    for part in ("3 February 2026", "32 counts", snapshot.sha256, "CC-BY-4.0", "Unchanged"):
        assert part in page
    assert f"32 counts, frozen on 2026-02-03. Release 1, snapshot {snapshot.id}." in page
    assert f'<{snapshot.page}>; rel="cite-as"' in answer.headers["Link"]
    (text,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', page, re.DOTALL)
    assert json.loads(text)["@id"] == snapshot.page


def test_links_of_the_page_lead_somewhere(visitor: Client) -> None:
    small_release()
    body = {"query": "/api/v1/visits"}
    made = visitor.post("/api/v1/snapshots", body, content_type="application/json").json()
    page = visitor.get(made["data"]["page"]).content.decode()

    paths = {path.replace("&amp;", "&") for path in re.findall(r'href="(/api/[^"]+)"', page)}

    assert len(paths) == 10
    assert {visitor.get(path).status_code for path in paths} == {200}


def test_page_names_what_was_withdrawn(visitor: Client) -> None:
    small = small_release()
    snapshot = frozen(small.release, "visits")

    gone = withdraw(small)

    page = visitor.get(f"/snapshots/{snapshot.id}").content.decode()
    assert gone in page
    assert "1 of 2 rows withdrawn since" in page
    assert "3 July 2025" in page
    assert "Unchanged" not in page


def test_page_lists_so_many_and_leads_to_the_rest(
    visitor: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("portal.pages.snapshots.SHOWN", 0)
    small = small_release()
    snapshot = frozen(small.release, "visits")

    gone = withdraw(small)

    page = visitor.get(f"/snapshots/{snapshot.id}").content.decode()
    assert gone not in page
    assert "All of them as JSON" in page


@pytest.mark.parametrize("name", ["nothing", "x" * 200, "é"])
def test_unknown_snapshot_has_no_page(visitor: Client, name: str) -> None:
    assert visitor.get(f"/snapshots/{name}").status_code == 404
