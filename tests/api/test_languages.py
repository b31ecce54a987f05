"""Which language is spoken, and that every answer says so.

Accept-Language: RFC 9110, section 12.5.4; Content-Language: section 8.5; Vary: section 12.5.5.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.utils.translation import get_language

from api import german
from api.errors import PROBLEMS
from api.languages import accepted_language
from api.languages import spoken as spoken_parts
from tests.api.holders import SUBMISSIONS, VISITS, partner, visit_of
from tests.factories.private import put

DE = {"Accept-Language": "de-AT, en;q=0.5"}


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-CH", "de"),
        ("en-GB, de;q=0.9", "en"),
        ("fr, de;q=0.8, en;q=0.7", "de"),
        ("de;q=0.1, en;q=0.9", "en"),
        ("fr", "en"),
        ("de;q=0", "en"),
        ("*", "en"),
        ("\x00, ;;q=x", "en"),
    ],
)
def test_language_wanted_most_is_taken(header: str, language: str) -> None:
    assert accepted_language(header) == language


def test_every_problem_is_told_in_german() -> None:
    assert set(german.PROBLEMS) == set(PROBLEMS)
    for code, (title, meaning, fix) in german.PROBLEMS.items():
        assert title != PROBLEMS[code][1]
        assert meaning.endswith(".")
        assert fix.endswith(".")


def spoken(answer: Any) -> tuple[str, bool]:
    return answer.headers["Content-Language"], "Accept-Language" in answer.headers["Vary"]


@pytest.mark.django_db
def test_refused_batch_is_explained_in_either_language() -> None:
    _, caller = partner()
    batch = {"visits": [put(visit_of(1), "/pits/0/total", "many") | {"colour": 1}]}

    english = caller.post(SUBMISSIONS, batch)
    other = caller.post(SUBMISSIONS, batch, **DE)

    assert (spoken(english), spoken(other)) == (("en", True), ("de", True))
    assert other.json()["detail"].startswith("1 von 1 Begehungen wurden nicht angenommen.")
    assert "detail_en" not in other.json()
    pairs = list(zip(english.json()["errors"], other.json()["errors"], strict=True))
    assert len(pairs) == 2
    for one, two in pairs:
        assert [one[name] for name in ("code", "pointer", "received", "docs")] == [
            two[name] for name in ("code", "pointer", "received", "docs")
        ]
        assert one["hint"] != two["hint"]
        assert one["message"] != two["message"]


@pytest.mark.django_db
def test_stored_faults_and_replays_are_told_in_the_language_of_the_reader() -> None:
    _, caller = partner()
    batch = {"visits": [put(visit_of(1), "/pits/0/total", 999)]}
    key = {"Idempotency-Key": "one"}
    sent = caller.post(SUBMISSIONS, batch, **key)

    again = caller.post(SUBMISSIONS, batch, **key, **DE)
    read = caller.get(f"{sent.headers['Location']}/faults", **DE)

    assert again.headers["Idempotent-Replayed"] == "true"
    for answer, name in ((again, "errors"), (read, "data")):
        messages = [fault["message"] for fault in answer.json()[name]]
        assert any("Als Summe steht 999 da" in message for message in messages)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "code"),
    [(VISITS, "token-missing"), ("/api/v1/visits?colour=red", "parameter-unknown")],
)
def test_problem_is_german_and_keeps_its_english_particulars(address: str, code: str) -> None:
    answer = Client().get(address, headers=DE)

    document = answer.json()
    assert spoken(answer) == ("de", True)
    assert document["title"] == german.PROBLEMS[code][0]
    assert document["detail"].startswith(german.PROBLEMS[code][1])
    assert document["type"].endswith(f"/problems/{code}")
    if code == "parameter-unknown":
        assert document["detail_en"].startswith("There is no parameter 'colour' here.")
        assert document["parameter"] == "colour"


def test_pages_stay_in_their_own_language() -> None:
    answer = Client().get("/problems/gone", headers=DE)

    assert "What it means" in answer.content.decode()


def test_parts_written_while_sent_are_made_in_the_language() -> None:
    def parts() -> Iterator[bytes]:
        yield (get_language() or "").encode()
        yield (get_language() or "").encode()

    told = spoken_parts("de", parts())

    assert [next(told), get_language(), next(told)] == [b"de", "en", b"de"]
    assert list(told) == []
