"""What all resources of the face have in common: links, headers, problems, pages."""

import html.parser
import json
from typing import Any

import pytest
from django.test import override_settings

from portal.records.models import Release
from tests.factories.published import ReleaseFactory, SmallRelease
from tests.journeys.actors import Actor

PUBLIC_URL = "https://data.example.org"
JSON = "application/json"
GEOJSON = "application/geo+json"
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
PLAIN = {
    "": JSON,
    "/conformance": JSON,
    "/api": "application/vnd.oai.openapi+json;version=3.0",
    "/collections": JSON,
    "/collections/pits": JSON,
    "/collections/pits/schema": "application/schema+json",
    "/collections/pits/items": GEOJSON,
}
EVERYWHERE = pytest.mark.parametrize("path", PLAIN)


def get(reader: Actor, path: str, **headers: str) -> Any:
    return reader.get(f"/features{path}", **headers)


@EVERYWHERE
@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("accept", [None, "*/*", "application/json", "application/*"])
def test_machines_get_json_of_its_own_type(reader: Actor, path: str, accept: str | None) -> None:
    answer = get(reader, path, **({} if accept is None else {"Accept": accept}))

    assert (answer.status_code, answer.headers["Content-Type"]) == (200, PLAIN[path])
    assert json.loads(answer.content)


@EVERYWHERE
@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("accept", ["text/html", BROWSER, "text/*"])
def test_browsers_get_a_page_without_scripts(reader: Actor, path: str, accept: str) -> None:
    answer = get(reader, path, Accept=accept)

    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert b"<script" not in answer.content
    assert f"http://localhost:8000/features{path}".encode() in answer.content
    assert b"CC-BY-4.0" in answer.content


@EVERYWHERE
@pytest.mark.usefixtures("small")
def test_form_by_name_wins_over_accept(reader: Actor, path: str) -> None:
    assert "html" in get(reader, f"{path}?f=html", Accept=JSON).headers["Content-Type"]
    assert get(reader, f"{path}?f=json", Accept=BROWSER).headers["Content-Type"] == PLAIN[path]
    assert get(reader, f"{path}?f=csv").status_code == 400
    assert get(reader, path, Accept="text/csv").status_code == 406


@EVERYWHERE
@pytest.mark.usefixtures("small")
def test_slash_at_the_end_changes_nothing(reader: Actor, path: str) -> None:
    without, with_slash = (get(reader, path).json(), get(reader, f"{path}/").json())

    for body in (without, with_slash):
        body.pop("timeStamp", None)
    assert with_slash == without


@EVERYWHERE
@pytest.mark.usefixtures("small")
def test_answer_carries_licence_limits_and_open_doors(reader: Actor, path: str) -> None:
    answer = get(reader, path)

    assert 'rel="license"' in answer.headers["Link"]
    assert 'rel="cite-as"' in answer.headers["Link"]
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    assert answer.headers["RateLimit"].startswith('"open";r=')
    assert answer.headers["Cache-Control"] == "public, max-age=300"
    assert "Accept" in answer.headers["Vary"]


@EVERYWHERE
@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("form", ["json", "html"])
def test_known_answer_is_not_sent_again(reader: Actor, path: str, form: str) -> None:
    etag = get(reader, f"{path}?f={form}").headers["ETag"]

    again = get(reader, f"{path}?f={form}", **{"If-None-Match": etag})

    assert (again.status_code, again.content) == (304, b"")
    ReleaseFactory.create(number=2)
    assert get(reader, f"{path}?f={form}", **{"If-None-Match": etag}).status_code == 200


@pytest.mark.usefixtures("small")
def test_tag_of_an_answer_with_its_time_is_weak(reader: Actor) -> None:
    assert get(reader, "/collections/pits/items").headers["ETag"].startswith('W/"')
    assert get(reader, "/collections/pits").headers["ETag"].startswith('"')


@EVERYWHERE
@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("query", "status"),
    [("?colour=red", 400), ("?release=99", 400), ("?f=", 400), ("?limt=3", 400)],
)
def test_wrong_parameter_is_a_problem(reader: Actor, path: str, query: str, status: int) -> None:
    answer = get(reader, f"{path}{query}")

    assert answer.status_code == status
    assert answer.headers["Content-Type"] == "application/problem+json"


@EVERYWHERE
@pytest.mark.usefixtures("small")
def test_face_is_read_only(reader: Actor, path: str) -> None:
    assert reader.post(f"/features{path}").status_code == 405


@EVERYWHERE
@pytest.mark.usefixtures("small")
def test_nothing_stands_before_the_first_release(reader: Actor, path: str) -> None:
    Release.objects.all().delete()

    assert get(reader, path).status_code == 404


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("path", ["/collections/counts", "/collections/x/items", "/maps"])
def test_unknown_collection_is_not_found(reader: Actor, path: str) -> None:
    answer = get(reader, path)

    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"


def links(body: Any) -> list[str]:
    """Return every address in a document."""
    if isinstance(body, dict):
        own = [body["href"]] if isinstance(body.get("href"), str) else []
        return own + [href for value in body.values() for href in links(value)]
    return [href for value in body for href in links(value)] if isinstance(body, list) else []


@pytest.mark.usefixtures("small")
@override_settings(PUBLIC_URL=PUBLIC_URL)
@pytest.mark.parametrize("query", ["", "?release=1"])
def test_every_link_is_absolute_and_leads_somewhere(reader: Actor, query: str) -> None:
    """The host of the request is not used: a wrong one would stop every client."""
    waiting, seen = [f"{PUBLIC_URL}/features{query}"], set()
    while waiting:
        address = waiting.pop()
        if address in seen:
            continue
        seen.add(address)
        answer = reader.get(address, Host="testserver")
        assert answer.status_code == 200, address
        if "json" in answer.headers["Content-Type"]:
            found = links(json.loads(answer.content))
            assert [href for href in found if not href.startswith(("http://", "https://"))] == []
            waiting += [href for href in found if href.startswith(f"{PUBLIC_URL}/features")]
            assert "release=1" in "".join(found) or not query or "/api?" in address or not found

    assert len(seen) > 15


class Addresses(html.parser.HTMLParser):
    """Collects what a page leads to."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the address of a link."""
        self.found += [value or "" for name, value in attrs if tag == "a" and name == "href"]


def test_page_of_items_leads_to_each_item_and_the_next_page(
    reader: Actor, small: SmallRelease
) -> None:
    page = get(reader, "/collections/pits/items?limit=3", Accept="text/html")
    reading = Addresses()
    reading.feed(page.content.decode())

    of_items = [href for href in reading.found if "/items/" in href]
    following = [href for href in reading.found if "cursor=" in href]
    assert len(of_items) == 3
    assert len(following) == 1
    assert b"3 of 4 features" in page.content
    item = reader.get(of_items[0], Accept="text/html")
    assert item.status_code == 200
    assert any(str(pit.id).encode() in item.content for pit in small.pits)
    assert reader.get(following[0], Accept="text/html").status_code == 200


@pytest.mark.usefixtures("small")
def test_page_shows_what_was_written_as_text(reader: Actor, small: SmallRelease) -> None:
    visit = small.visits[0]
    type(visit).objects.filter(row=visit.row).update(remarks="<b>bold</b> & more")

    page = get(reader, f"/collections/visits/items/{visit.id}", Accept="text/html")

    assert b"&lt;b&gt;bold&lt;/b&gt; &amp; more" in page.content
