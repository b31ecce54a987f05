"""The list of pages (sitemap protocol 0.9, from memory) and ``robots.txt``."""

from datetime import UTC, datetime
from urllib.robotparser import RobotFileParser
from xml.etree import ElementTree as ET

import pytest
from django.test import Client

from portal.publication.files import build_files
from tests.api.answers import bytes_of
from tests.factories.published import ReleaseFactory, small_release

BASE = "http://localhost:8000"
MAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
AT = datetime(2025, 8, 1, 10, 30, tzinfo=UTC)

pytestmark = pytest.mark.django_db


def listed(visitor: Client) -> dict[str, str | None]:
    """Return the addresses of the list with the last change of each."""
    answer = visitor.get("/sitemap.xml")
    assert answer.headers["Content-Type"] == "application/xml"
    root = ET.fromstring(answer.content)  # noqa: S314 -- our own document
    assert root.tag == f"{MAP}urlset"
    found = {}
    for entry in root:
        assert entry.tag == f"{MAP}url"
        assert [child.tag for child in entry] in ([f"{MAP}loc"], [f"{MAP}loc", f"{MAP}lastmod"])
        found[entry.findtext(f"{MAP}loc") or ""] = entry.findtext(f"{MAP}lastmod")
    assert len(found) == len(root)
    return found


def test_list_leads_to_pages_that_are_there(visitor: Client) -> None:
    small_release()

    found = listed(visitor)

    for path in ("/", "/dataset", "/releases/1", "/protocols/contrast-pit/2", "/docs", "/terms"):
        assert f"{BASE}{path}" in found
    assert f"{BASE}/api/v1/fields/habitat" in found
    for address in found:
        answer = visitor.get(address.removeprefix(BASE))
        assert answer.status_code == 200, address
        bytes_of(answer)


def test_list_before_the_first_release_has_no_dataset(visitor: Client) -> None:
    found = listed(visitor)

    assert f"{BASE}/" in found
    assert f"{BASE}/dataset" not in found


def test_list_tells_when_a_release_changed_last(visitor: Client) -> None:
    older = small_release().release
    ReleaseFactory.create(number=2, issued_at=datetime(2025, 7, 30, 9, tzinfo=UTC))
    build_files(older, at=AT)

    found = listed(visitor)

    assert found[f"{BASE}/releases/1"] == "2025-08-01T10:30:00Z"
    assert found[f"{BASE}/releases/2"] == "2025-07-30T09:00:00Z"
    assert found[f"{BASE}/dataset"] == "2025-08-01T10:30:00Z"
    assert found[f"{BASE}/terms"] is None


def robots(visitor: Client) -> RobotFileParser:
    answer = visitor.get("/robots.txt")
    assert answer.headers["Content-Type"] == "text/plain; charset=utf-8"
    reader = RobotFileParser()
    reader.parse(answer.content.decode().splitlines())
    return reader


def test_robots_may_read_what_is_open_and_nothing_else(visitor: Client) -> None:
    reader = robots(visitor)

    for path in ("/", "/dataset", "/catalogue", "/api/v1/visits", "/files/1/1/archive.zip"):
        assert reader.can_fetch("any", f"{BASE}{path}")
    for path in ("/api/v1/partner/visits", "/api/v1/review/waiting", "/my/token"):
        assert not reader.can_fetch("any", f"{BASE}{path}")


def test_robots_are_shown_the_list_of_pages(visitor: Client) -> None:
    assert robots(visitor).site_maps() == [f"{BASE}/sitemap.xml"]
