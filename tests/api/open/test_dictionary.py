"""Data dictionary and vocabularies."""

import pytest

from api.open.dictionary import EVERY_FIELD
from api.open.rows import COLLECTION_FIELDS
from portal.records.labels import LANGUAGES
from portal.records.vocabularies import VOCABULARIES
from tests.factories.published import ReleaseFactory
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


def test_dictionary_holds_every_field_of_every_collection(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    data = reader.get("/api/v1/fields").json()["data"]

    assert {name: [field["name"] for field in fields] for name, fields in data.items()} == {
        name: list(names) for name, names in COLLECTION_FIELDS.items()
    }


@pytest.mark.parametrize("name", sorted(EVERY_FIELD))
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

    known = EVERY_FIELD if "fields" in address else VOCABULARIES
    assert (answer.status_code, answer.json()["allowed"]) == (404, sorted(known))


@pytest.mark.parametrize(
    ("asked", "header", "language"),
    [
        ("", "", "en"),
        ("", "de", "de"),
        ("", "de-AT,de;q=0.9,en;q=0.8", "de"),
        ("", "fr, de;q=0.5", "de"),
        ("", "fr", "en"),
        ("", "*", "en"),
        ("", "de;q=0, en", "en"),
        ("?lang=de", "en", "de"),
        ("?lang=en", "de", "en"),
    ],
)
@pytest.mark.parametrize("address", ["vocabularies/habitat", "fields/habitat"])
def test_labels_are_in_the_language_asked_for(
    reader: Actor, address: str, asked: str, header: str, language: str
) -> None:
    ReleaseFactory.create(number=1)

    answer = reader.get(f"/api/v1/{address}{asked}", **{"Accept-Language": header})

    data = answer.json()["data"]
    told = data[0] if isinstance(data, list) else data
    assert told["label"] == told["labels"][language]
    assert set(told["labels"]) == set(LANGUAGES)
    assert answer.headers["Content-Language"] == language
    assert "Accept-Language" in answer.headers["Vary"]
    assert f"lang={language}" in answer.json()["meta"]["query"]


def test_languages_have_tags_of_their_own(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    address = "/api/v1/vocabularies/habitat"
    english = reader.get(address).headers["ETag"]

    answer = reader.get(address, **{"Accept-Language": "de", "If-None-Match": english})

    assert answer.status_code == 200


def test_language_that_we_have_not_is_refused(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    answer = reader.get("/api/v1/vocabularies/habitat?lang=fr")

    assert (answer.status_code, answer.json()["allowed"]) == (400, "one of en, de")


def test_field_names_its_allowed_values_and_what_null_means(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    moisture = reader.get("/api/v1/fields/moisture").json()["data"]
    area = reader.get("/api/v1/fields/area_m2").json()["data"]

    assert moisture["allowed_values"] == list(VOCABULARIES["moisture"])
    assert moisture["null_means"] == "not entered"
    assert (area["unit"], area["allowed_values"], area["null_means"]) == ("m2", None, None)


def test_list_of_vocabularies_leads_to_each(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    listed = reader.get("/api/v1/vocabularies").json()["data"]

    assert [one["name"] for one in listed] == list(VOCABULARIES)
    for one in listed:
        assert len(reader.get(one["href"]).json()["data"]) == one["words"]


def test_meaning_is_told_in_german_and_the_unit_stays(reader: Actor) -> None:
    ReleaseFactory.create(number=1)

    density = reader.get("/api/v1/fields/density_per_m2?lang=de").json()["data"]
    moisture = reader.get("/api/v1/fields/moisture?lang=de").json()["data"]
    words = reader.get("/api/v1/vocabularies/stage?lang=de").json()["data"]

    assert (density["unit"], density["unit_label"]) == ("animals per m2", "Tiere je m²")
    assert density["definition"] == "Zahl der Tiere durch die gegrabene Fläche."
    assert moisture["null_means"] == "nicht eingetragen"
    assert words[0]["meaning"] == "Gürtel vorhanden"
