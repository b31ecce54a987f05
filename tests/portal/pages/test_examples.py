"""Every example to copy works as it stands."""

import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from portal.pages.examples import SEND, Example, examples
from tests.api.holders import holder_of
from tests.factories.private import ParticipantFactory, sending_group
from tests.factories.published import ReleaseFactory, small_release

READING = [one for one in examples("http://localhost:8000", None) if "partner" not in one.path]

pytestmark = pytest.mark.django_db


def command_of(example: Example) -> list[str]:
    """Return the words of a command as a shell would read them."""
    return shlex.split(example.command)


@pytest.mark.parametrize("example", READING, ids=lambda example: example.title)
def test_reading_example_answers(example: Example) -> None:
    small_release()
    program, address = command_of(example)

    answer = Client().get(example.path)

    assert program == "curl"
    assert address == f"http://localhost:8000{example.path}"
    assert answer.status_code == 200
    assert answer.content


def test_examples_find_something() -> None:
    small_release()
    by_title: dict[str, Any] = {example.title: Client().get(example.path) for example in READING}

    assert by_title["Records"].json()["data"]
    assert by_title["Table"].content.count(b"\n") > 2
    assert by_title["Darwin Core names"].json()["data"]
    assert by_title["Densities"].json()["data"]


def test_examples_name_the_newest_release() -> None:
    release = ReleaseFactory.create(number=7)

    paths = [example.path for example in examples("https://data.example.org", release)]

    assert "/api/v1/releases/7" in paths
    assert "/api/v1/releases/7/changes" in paths


def test_sending_example_is_a_rehearsal_of_the_documented_file() -> None:
    group = sending_group()
    ParticipantFactory.create(group=group, code="QVD-01")
    caller = holder_of(group, "submit")
    (example,) = [one for one in examples("http://localhost:8000", None) if "partner" in one.path]
    words = command_of(example)
    sent = words[words.index("--data") + 1]
    body = json.loads((Path(settings.BASE_DIR) / sent.removeprefix("@")).read_text())

    answer = caller.post(example.path, body)

    assert example.command == SEND.format(f"http://localhost:8000{example.path}")
    assert "Authorization: Bearer $TOKEN" in words
    assert "Content-Type: application/json" in words
    assert answer.status_code == 200
    assert answer.json()["stored"] is False
    assert answer.json()["summary"]["rejected"] == 0
