"""Public pages: what they show, and that every link on them leads somewhere."""

import re
from html import unescape
from typing import Any

import pytest
from django.test import Client

from surveys.protocol.definition import library
from tests.api.answers import bytes_of
from tests.factories.published import ReleaseFactory, small_release
from tests.portal.publication.villages import release, village, village_group

PAGES = (
    "/",
    "/dataset",
    "/releases/1",
    "/protocols/contrast-pit/2",
    "/terms",
    "/changes",
    "/problems/gone",
)
HOSTILE = '<script>alert("x")</script>'

pytestmark = pytest.mark.django_db


def page(visitor: Client, address: str) -> str:
    answer = visitor.get(address)
    assert answer.status_code == 200, address
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
    return answer.content.decode()


def links(text: str) -> set[str]:
    return {unescape(link) for link in re.findall(r'(?:href|src)="([^"#][^"]*)"', text)}


@pytest.fixture
def released(db: None) -> None:  # noqa: ARG001 -- the database is needed
    """Make a release with files and a credited group."""
    village(village_group(named_publicly=True), range(5))
    release(1)


def test_home_without_a_release_says_so(visitor: Client) -> None:
    text = page(visitor, "/")

    assert "No release has been made yet." in text
    assert "/api/v1/fields" in text


@pytest.mark.usefixtures("released")
def test_home_shows_release_numbers_citation_and_file(visitor: Client) -> None:
    text = page(visitor, "/")

    assert "<dd>1 of 30 June 2025</dd>" in text
    for name, number in (("Visits", 5), ("Pits", 10), ("Counts", 30)):
        assert f"<dt>{name}</dt><dd>{number}</dd>" in text
    assert "Release 1. http://localhost:8000/releases/1" in text
    assert 'href="/files/1/1/archive.zip"' in text
    assert "CC-BY-4.0" in text


@pytest.mark.usefixtures("released")
@pytest.mark.parametrize("address", PAGES)
def test_every_link_of_a_page_leads_somewhere(visitor: Client, address: str) -> None:
    found = links(page(visitor, address))

    inside = {link for link in found if link.startswith("/")}
    assert inside
    for link in inside:
        answer = visitor.get(link)
        assert answer.status_code in {200, 303}, link
        bytes_of(answer)
    outside = found - inside - {"data:,"}
    assert outside <= {"http://creativecommons.org/licenses/by/4.0/legalcode"}


@pytest.mark.usefixtures("released")
@pytest.mark.parametrize("address", PAGES)
def test_page_names_its_language_title_and_main_part(visitor: Client, address: str) -> None:
    text = page(visitor, address)

    assert '<html lang="en">' in text
    assert re.search(r"<title>[^<]+</title>", text)
    assert text.count("<h1") <= 1
    assert '<main id="main">' in text
    assert set(re.findall("<script[^>]*>", text)) <= {'<script type="application/ld+json">'}


@pytest.mark.usefixtures("released")
def test_release_page_shows_files_credits_and_protocols(visitor: Client) -> None:
    text = page(visitor, "/releases/1")

    assert "Quellmoor diggers, 5 visits" in text
    assert 'href="/protocols/contrast-pit/2"' in text
    assert re.search(r"SHA-256 <code[^>]*>[0-9a-f]{64}</code>", text)
    assert "Release 1</a>, 30 June 2025" in text
    assert visitor.get("/releases/2").status_code == 404


@pytest.mark.parametrize("protocol", library(), ids=lambda protocol: protocol.name)
def test_protocol_page_shows_every_caution(visitor: Client, protocol: Any) -> None:
    ReleaseFactory.create(number=1)

    text = unescape(page(visitor, f"/protocols/{protocol.name}"))

    assert protocol.cautions
    for caution in protocol.cautions:
        assert caution.text in text
        assert caution.defer_to in text
    assert "Local rules and the advice of licensed practitioners come first." in text
    assert protocol.summary in text
    for category in protocol.categories:
        assert f"{category.group}, {category.stage}" in text


def test_protocol_that_leaves_a_step_out_says_what_that_means(visitor: Client) -> None:
    ReleaseFactory.create(number=1)

    text = page(visitor, "/protocols/school-pit/1")

    assert "left out in this protocol, so its counts are “not looked for”" in text


def test_protocol_that_no_release_used_is_not_found(visitor: Client) -> None:
    ReleaseFactory.create(number=1, protocols=[])

    answer = visitor.get("/protocols/contrast-pit/2")

    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_dataset_page_is_about_the_newest_release(visitor: Client) -> None:
    assert visitor.get("/dataset").status_code == 404
    small_release()
    ReleaseFactory.create(number=2)

    text = page(visitor, "/dataset")

    assert 'href="/releases/2">2</a> of 30 June 2025' in text
    assert "Release 2. http://localhost:8000/releases/2" in text
    assert 'href="/catalogue?f=ttl"' in text
    assert text.index("/releases/2") < text.index("/releases/1")


@pytest.mark.usefixtures("released")
def test_dataset_page_shows_what_is_covered(visitor: Client) -> None:
    text = page(visitor, "/dataset")

    assert "12 April 2025 to 12 April 2025" in text
    assert "latitude 52.88° to 52.89°, longitude -0.73° to -0.72°" in text
    assert "<li>Lumbricidae, family</li>" in text
    assert "Release 1 holds 5 visits, 10 pits and 30 counts." in text


@pytest.mark.parametrize("address", ["/dataset", "/releases/1"])
def test_page_speaks_to_search_engines_as_data_only(visitor: Client, address: str) -> None:
    small_release()

    answer = visitor.get(address)

    scripts = re.findall(r"<script[^>]*>", answer.content.decode())
    assert scripts == ['<script type="application/ld+json">']
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "script-src" not in policy


def test_page_leads_machines_on(visitor: Client) -> None:
    small_release()
    licence = '<http://creativecommons.org/licenses/by/4.0/legalcode>; rel="license"'
    base = "http://localhost:8000"

    links = visitor.get("/releases/1").headers["Link"].split(", ")

    assert links[0] == f'<{base}/releases/1>; rel="cite-as"'
    assert links[-1] == licence
    described = [link for link in links if 'rel="describedby"' in link]
    assert (
        f'<{base}/releases/1/citation?f=bib>; rel="describedby"; type="application/x-bibtex"'
        in (described)
    )
    for link in described:
        assert visitor.get(link[1:].partition(">")[0].removeprefix(base)).status_code == 200
    links = visitor.get("/dataset").headers["Link"].split(", ")
    assert links[0] == f'<{base}/dataset>; rel="cite-as"'
    assert f'<{base}/catalogue>; rel="describedby"; type="application/ld+json"' in links


def test_release_page_marks_itself_in_the_list(visitor: Client) -> None:
    for number in (1, 2):
        ReleaseFactory.create(number=number)

    assert 'href="/releases/1" aria-current="page"' in page(visitor, "/releases/1")
    assert "aria-current" not in page(visitor, "/dataset")


def test_changes_page_shows_the_changelog(visitor: Client) -> None:
    text = page(visitor, "/changes")

    assert "Changes of the API" in text
    assert "## 0.1.0" in text


def test_docs_page_works_without_the_internet(visitor: Client) -> None:
    text = page(visitor, "/docs")

    addresses = links(text)
    assert addresses
    assert all(address.startswith("/") or address == "/docs?script=" for address in addresses)
    for address in addresses:
        answer = visitor.get(address)
        assert answer.status_code == 200, address
        assert bytes_of(answer)
    script = visitor.get("/docs?script=").content.decode()
    assert "/api/v1/openapi.json" in script
    assert "http://" not in script.replace("http://localhost:8000", "")
    assert "https://" not in script


def test_notice_stands_on_every_page(visitor: Client, settings: Any) -> None:
    small_release()
    settings.DATASET = settings.DATASET | {"notice": "All data here are invented."}

    for address in PAGES:
        assert "All data here are invented." in page(visitor, address)


def test_text_from_data_is_escaped(visitor: Client, settings: Any) -> None:
    settings.DATASET = settings.DATASET | {"name": HOSTILE, "notice": HOSTILE}
    ReleaseFactory.create(
        number=1,
        title=HOSTILE,
        rights_holder=HOSTILE,
        credits=[{"code": "X", "name": HOSTILE, "visits": 1}],
    )

    for address in PAGES:
        assert HOSTILE not in page(visitor, address)
