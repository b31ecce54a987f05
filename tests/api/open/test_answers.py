"""What every open answer carries: licence, citation, release, query, links, ETag."""

import json
from typing import Any

import pytest
from django.test import Client

from portal.records.models import Release
from tests.factories.published import PublishedVisitFactory, ReleaseFactory, SmallRelease
from tests.journeys.actors import Actor

LICENCE = "http://creativecommons.org/licenses/by/4.0/legalcode"
WITH_META = (
    "/api/v1/visits",
    "/api/v1/pits",
    "/api/v1/counts",
    "/api/v1/occurrences",
    "/api/v1/summary",
    "/api/v1/fields",
    "/api/v1/fields/habitat",
    "/api/v1/vocabularies/season",
    "/api/v1/groups",
)
OTHERS = ("/api/v1", "/api/v1/status", "/api/v1/releases", "/api/v1/releases/1")


def relations(answer: Any) -> dict[str, str]:
    """Read a Link header (RFC 8288)."""
    parts = [part.split(">; rel=") for part in answer.headers["Link"].split(", ")]
    return {rel.strip('"'): url.lstrip("<") for url, rel in parts}


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", WITH_META)
def test_answer_says_how_to_cite_and_repeat_it(
    reader: Actor, small: SmallRelease, address: str, settings: Any
) -> None:
    settings.DATASET = settings.DATASET | {"notice": "Invented data."}

    answer = reader.get(address)

    meta = answer.json()["meta"]
    assert meta["release"] == 1
    assert meta["license"] == {"id": "CC-BY-4.0", "url": LICENCE}
    assert meta["citation"] == small.release.citation
    assert meta["notice"] == "Invented data."
    assert meta["query"].startswith(address)
    assert relations(answer)["license"] == LICENCE
    assert relations(answer)["cite-as"] == "http://localhost:8000/releases/1"
    assert relations(answer)["describedby"] == "http://localhost:8000/api/v1/fields"
    assert answer.headers["Cache-Control"] == "public, max-age=300"
    assert answer.headers["Last-Modified"] == "Mon, 30 Jun 2025 09:00:00 GMT"


@pytest.mark.usefixtures("small")
def test_normalised_query_repeats_the_answer(reader: Actor) -> None:
    asked = "/api/v1/counts?stage=juvenile&stage=adult&method=hand_sort&sort=-number&limit=5"

    first = reader.get(asked).json()
    query = first["meta"]["query"]
    again = reader.get(f"{query}&limit=5").json()

    assert query == (
        "/api/v1/counts?method=hand_sort&release=1&sort=-number&stage=adult%2Cjuvenile"
    )
    assert again["data"] == first["data"]
    assert again["meta"] == first["meta"]


@pytest.mark.usefixtures("small")
def test_links_lead_round(reader: Actor) -> None:
    first = reader.get("/api/v1/pits?limit=3&season=spring")
    second = reader.get(first.json()["links"]["next"])

    assert first.json()["links"]["prev"] is None
    assert second.json()["links"]["next"] is None
    assert reader.get(second.json()["links"]["prev"]).json()["data"] == first.json()["data"]
    assert reader.get(first.json()["links"]["self"]).json()["data"] == first.json()["data"]
    assert relations(first)["next"] == first.json()["links"]["next"]
    assert relations(second)["prev"] == second.json()["links"]["prev"]
    assert relations(first)["collection"] == "http://localhost:8000/api/v1/pits"
    assert first.json()["links"]["next"].count("limit=3") == 1
    assert first.json()["links"]["next"].count("release=1") == 1


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", [*WITH_META, *OTHERS, "/api/v1/nothing"])
def test_links_stand_on_the_configured_address(address: str, settings: Any) -> None:
    settings.PUBLIC_URL = "https://data.example.org"
    settings.ALLOWED_HOSTS = ["*"]
    client = Client(headers={"Host": "evil.example", "X-Forwarded-Host": "evil.example"})

    answer = client.get(address, {"limit": 1} if address.endswith(("its", "nts")) else None)

    said = answer.content.decode() + json.dumps(dict(answer.headers))
    assert "evil.example" not in said
    assert "testserver" not in said
    assert answer.status_code == (404 if address == "/api/v1/nothing" else 200)
    links = answer.json().get("links", {})
    if not isinstance(links, dict):
        links = {link["href"]: link["href"] for link in links if link["rel"] != "license"}
    found = links.values()
    assert all(link is None or link.startswith("https://data.example.org/") for link in found)


def test_etag_and_citation_follow_the_doi_of_the_release(
    small: SmallRelease, reader: Actor
) -> None:
    before = reader.get("/api/v1/visits")
    Release.objects.update(doi="10.5555/pits-1", doi_set_at=small.release.issued_at)

    after = reader.get("/api/v1/visits", **{"If-None-Match": before.headers["ETag"]})

    assert after.status_code == 200
    assert after.json()["meta"]["citation"].endswith("Release 1. https://doi.org/10.5555/pits-1")
    assert relations(after)["cite-as"] == "https://doi.org/10.5555/pits-1"


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", WITH_META)
def test_etag_is_stable_and_spares_the_body(reader: Actor, address: str) -> None:
    first, second = reader.get(address), reader.get(address)
    etag = first.headers["ETag"]

    for held in (etag, f"W/{etag}", f'"other", {etag}', "*"):
        unchanged = reader.get(address, **{"If-None-Match": held})
        assert (unchanged.status_code, unchanged.content) == (304, b"")
        assert unchanged.headers["ETag"] == etag

    assert etag == second.headers["ETag"]
    assert etag[0] == etag[-1] == '"'
    assert reader.get(address, **{"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", WITH_META)
def test_answer_is_refused_to_those_who_want_another_one(reader: Actor, address: str) -> None:
    etag = reader.get(address).headers["ETag"]

    refused = reader.get(address, **{"If-Match": '"other"'})

    assert (refused.status_code, refused.json()["status"]) == (412, 412)
    assert refused.headers["Content-Type"] == "application/problem+json"
    assert reader.get(address, **{"If-Match": etag}).status_code == 200


@pytest.mark.usefixtures("small")
def test_date_alone_does_not_spare_the_body(reader: Actor) -> None:
    """See to it that a change without a release, by a withdrawal, reaches every reader."""
    since = {"If-Modified-Since": "Mon, 30 Jun 2025 09:00:00 GMT"}

    assert reader.get("/api/v1/visits", **since).status_code == 200


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", WITH_META)
@pytest.mark.parametrize("method", ["get", "head"])
def test_unchanged_answer_keeps_its_headers(reader: Actor, address: str, method: str) -> None:
    """Follow RFC 9110, section 15.4.5: a 304 has what a 200 would have told caches."""
    whole = reader.get(address)

    held = getattr(reader.client, method)(address, headers={"If-None-Match": whole.headers["ETag"]})

    assert held.status_code == 304
    for name in ("ETag", "Cache-Control", "Vary", "Last-Modified"):
        assert held.headers[name] == whole.headers[name]
    assert held.headers["Access-Control-Allow-Origin"] == "*"


@pytest.mark.usefixtures("small")
def test_etag_differs_wherever_the_answer_does(reader: Actor) -> None:
    first = reader.get("/api/v1/pits?limit=1").json()["links"]["next"]
    asked = [
        "/api/v1/pits", "/api/v1/visits", "/api/v1/pits?season=spring", "/api/v1/pits?limit=2",
        "/api/v1/pits?fields=habitat", "/api/v1/pits?sort=-sampled_on", "/api/v1/pits?f=csv",
        "/api/v1/pits?count=none", "/api/v1/pits?f=csv&bom=true", first,
    ]  # fmt: skip

    tags = [reader.get(address).headers["ETag"] for address in asked]

    assert len(set(tags)) == len(asked)


@pytest.mark.usefixtures("small")
def test_etag_costs_no_look_at_the_rows(reader: Actor, django_assert_max_num_queries: Any) -> None:
    etag = reader.get("/api/v1/counts").headers["ETag"]

    with django_assert_max_num_queries(2):  # the release and its newest build
        reader.get("/api/v1/counts", **{"If-None-Match": etag})


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", [*WITH_META, *OTHERS])
def test_head_answers_as_get_without_a_body(reader: Actor, address: str) -> None:
    got = reader.get(address)

    head = reader.client.head(address)

    assert (head.status_code, head.content) == (200, b"")
    for name in ("Content-Type", "ETag", "Link", "Last-Modified"):
        assert head.headers.get(name) == got.headers.get(name)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("address", [*WITH_META, *OTHERS])
def test_one_trailing_slash_is_as_none(reader: Actor, address: str) -> None:
    with_slash = reader.get(f"{address}/")

    assert with_slash.status_code == 200
    assert with_slash.content == reader.get(address).content


@pytest.mark.django_db
def test_release_answers_the_same_for_ever(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    kept, changed, removed = PublishedVisitFactory.create_batch(3)
    asked = (
        "/api/v1/visits?release=1",
        "/api/v1/visits?release=1&f=csv",
        "/api/v1/summary?release=1",
    )
    before = [(answer.content, answer.headers["ETag"]) for answer in map(reader.get, asked)]

    ReleaseFactory.create(number=2)
    type(changed).objects.filter(id__in=[changed.id, removed.id]).update(until_release=2)
    PublishedVisitFactory.create(id=changed.id, people_digging=9, since_release=2)
    PublishedVisitFactory.create(since_release=2)

    after = [(answer.content, answer.headers["ETag"]) for answer in map(reader.get, asked)]
    newest = {row["id"]: row for row in reader.get("/api/v1/visits").json()["data"]}
    assert after == before
    assert str(removed.id) not in newest
    assert newest[str(changed.id)]["people_digging"] == 9
    assert str(kept.id) in newest
    assert len(newest) == 3
