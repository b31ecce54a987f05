"""Root, data dictionary, vocabularies, groups, status."""

import pytest

from portal.records.fields import FIELDS, every_field
from portal.records.vocabularies import VOCABULARIES
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


def test_root_leads_to_everything(reader: Actor) -> None:
    release = ReleaseFactory.create(number=1)

    body = reader.get("/api/v1").json()

    links = {link["rel"]: link["href"] for link in body["links"]}
    assert (body["release"], body["citation"]) == (1, release.citation)
    assert {"service-desc", "service-doc", "status", "describedby", "visits"} <= set(links)
    for href in links.values():
        assert reader.get(href).status_code == 200, href


def test_root_and_status_answer_before_the_first_release(reader: Actor) -> None:
    assert reader.get("/api/v1").json()["release"] is None
    assert reader.get("/api/v1/status").json() == {
        "status": "up",
        "version": "0.1.0",
        "release": None,
        "issued_at": None,
    }


def test_status_names_the_release_and_its_age(reader: Actor) -> None:
    ReleaseFactory.create(number=4)

    status = reader.get("/api/v1/status").json()

    assert (status["release"], status["issued_at"]) == (4, "2025-06-30T09:00:00Z")


def test_dictionary_holds_every_field_of_every_collection(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    data = reader.get("/api/v1/fields").json()["data"]

    assert {name: [field["name"] for field in fields] for name, fields in data.items()} == {
        name: [field.name for field in fields] for name, fields in FIELDS.items()
    }


@pytest.mark.parametrize("name", sorted(every_field()))
def test_each_field_has_its_own_address_and_a_served_vocabulary(reader: Actor, name: str) -> None:
    ReleaseFactory.create(number=1)

    field = reader.get(f"/api/v1/fields/{name}").json()["data"]

    assert field["name"] == name
    assert field["definition"].endswith((".", "?"))
    if field["vocabulary"]:
        assert reader.get(f"/api/v1/vocabularies/{field['vocabulary']}").status_code == 200


@pytest.mark.parametrize("name", sorted(VOCABULARIES))
def test_vocabulary_gives_words_with_meaning(reader: Actor, name: str) -> None:
    ReleaseFactory.create(number=1)

    data = reader.get(f"/api/v1/vocabularies/{name}").json()["data"]

    assert {entry["word"]: entry["meaning"] for entry in data} == VOCABULARIES[name]


@pytest.mark.parametrize("address", ["fields/colur", "vocabularies/colours"])
def test_unknown_name_is_not_found_and_the_known_are_told(reader: Actor, address: str) -> None:
    ReleaseFactory.create(number=1)

    answer = reader.get(f"/api/v1/{address}")

    known = every_field() if "fields" in address else VOCABULARIES
    assert (answer.status_code, answer.json()["allowed"]) == (404, sorted(known))


def test_groups_are_those_that_the_release_credits(reader: Actor) -> None:
    named = [{"code": "QVD", "name": "Quellmoor Village Diggers", "visits": 7}]
    ReleaseFactory.create(number=1, credits=named)
    ReleaseFactory.create(number=2, credits=[])

    assert reader.get("/api/v1/groups?release=1").json()["data"] == named
    assert reader.get("/api/v1/groups").json()["data"] == []
