"""The catalogue and the citations over HTTP: formats, refusals, conditional requests."""

import json
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from portal.catalogue.citations import FORMATS
from tests.factories.published import ReleaseFactory, small_release

ADDRESSES = ("/catalogue", "/releases/1/citation")

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def released() -> None:
    """Make a release, and forget the requests of earlier tests."""
    cache.clear()
    small_release()


def ask(address: str, **headers: str) -> Any:
    return Client().get(address, headers=headers)


@pytest.mark.parametrize(
    ("query", "accept", "media_type"),
    [
        ("", "*/*", "application/ld+json"),
        ("", "text/html,application/xhtml+xml,*/*;q=0.8", "application/ld+json"),
        ("", "application/json", "application/ld+json"),
        ("", "text/turtle", "text/turtle; charset=utf-8"),
        ("", "text/turtle;q=0.2, application/ld+json;q=0.9", "application/ld+json"),
        ("?f=ttl", "application/ld+json", "text/turtle; charset=utf-8"),
        ("?f=jsonld", "text/turtle", "application/ld+json"),
    ],
)
def test_catalogue_comes_in_the_format_asked_for(query: str, accept: str, media_type: str) -> None:
    answer = ask(f"/catalogue{query}", Accept=accept)

    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == media_type
    assert answer.headers["Vary"] == "Accept"
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    starts = b"@prefix" if "turtle" in media_type else b"{"
    assert answer.content.startswith(starts)


@pytest.mark.parametrize("one", FORMATS, ids=lambda one: one.name)
def test_citation_comes_by_name_and_by_type(one: Any) -> None:
    by_name = ask(f"/releases/1/citation?f={one.name}")
    by_type = ask("/releases/1/citation", Accept=one.media_type.partition(";")[0])

    assert by_name.status_code == 200
    assert by_name.headers["Content-Type"] == by_type.headers["Content-Type"] == one.media_type
    assert by_name.content == by_type.content
    name = f'"soil-animals-of-paired-pits-release-1.{one.ending}"'
    assert by_name.headers["Content-Disposition"] == f"inline; filename={name}"


def test_citation_is_a_sentence_unless_another_format_is_asked_for() -> None:
    answer = ask("/releases/1/citation", Accept="text/html,*/*;q=0.8")

    assert answer.headers["Content-Type"] == "text/plain; charset=utf-8"
    assert b"Release 1. http" in answer.content


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize(
    ("query", "accept", "status", "code"),
    [
        ("?colour=red", "*/*", 400, "parameter-unknown"),
        ("?f=xml", "*/*", 400, "parameter-wrong"),
        ("?f=", "*/*", 400, "parameter-wrong"),
        ("", "image/png", 406, "format-not-available"),
        ("", "text/turtle;q=0, application/yaml;q=0", 406, "format-not-available"),
    ],
)
def test_what_is_not_understood_is_a_problem(
    address: str, query: str, accept: str, status: int, code: str
) -> None:
    answer = ask(f"{address}{query}", Accept=accept)

    assert answer.status_code == status
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["type"].endswith(f"/problems/{code}")


def test_citation_of_no_release_is_not_found() -> None:
    answer = ask("/releases/9/citation")

    assert answer.status_code == 404
    assert answer.json()["detail"] == "There is no such release."


@pytest.mark.parametrize("address", ADDRESSES)
def test_unchanged_answer_is_not_sent_again(address: str) -> None:
    first = ask(address)

    again = ask(address, **{"If-None-Match": first.headers["ETag"]})

    assert again.status_code == 304
    assert again.content == b""


def test_catalogue_changes_with_a_release() -> None:
    before = ask("/catalogue")
    ReleaseFactory.create(number=2)

    after = ask("/catalogue", **{"If-None-Match": before.headers["ETag"]})

    assert after.status_code == 200
    releases = [node["@id"] for node in json.loads(after.content)["@graph"]]
    assert "http://localhost:8000/releases/2" in releases
