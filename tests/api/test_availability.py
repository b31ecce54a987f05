"""While something that we need is out of reach, callers are told to come again."""

import logging
from typing import Any

import pytest
from django.db import InterfaceError, OperationalError
from django.test import Client

from portal.records.models import ReleaseFile
from tests.api.test_errors import problem
from tests.factories.published import ReleaseFactory

SECRET = "recorder Mara Quill, 52.8812345 -0.7234567"  # noqa: S105 -- planted to be looked for

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("error", [OperationalError, InterfaceError, FileNotFoundError])
@pytest.mark.parametrize(
    ("address", "broken"),
    [
        ("/api/v1", "api.open.about.current_release"),
        ("/api/v1/releases", "api.harvest.releases.brief"),
        ("/", "portal.pages.views.current_release"),
    ],
)
def test_what_is_out_of_reach_is_503_with_the_time_to_wait(
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    error: type[Exception],
    address: str,
    broken: str,
) -> None:
    ReleaseFactory.create(number=1)

    def fail(*_: Any, **__: Any) -> None:
        raise error(SECRET)

    monkeypatch.setattr(broken, fail)

    with caplog.at_level(logging.ERROR):
        answer = Client().get(address)

    problem(answer, 503, "unavailable")
    assert int(answer.headers["Retry-After"]) > 0
    assert "Mara" not in answer.content.decode() + str(answer.headers)
    assert [kept for kept in caplog.records if kept.name == "api.availability" and kept.exc_info]


def test_file_whose_bytes_are_out_of_reach_is_503(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path
    release = ReleaseFactory.create(number=1)
    ReleaseFile.objects.create(
        release=release,
        build=1,
        name="archive.zip",
        media_type="application/zip",
        sha256="0" * 64,
        size_bytes=10,
        built_at=release.issued_at,
    )

    answer = Client().get("/files/1/1/archive.zip")

    problem(answer, 503, "unavailable")
    assert answer.headers["Access-Control-Allow-Origin"] == "*"


def test_it_is_told_in_german_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise OperationalError

    monkeypatch.setattr("api.open.about.current_release", fail)

    answer = Client().get("/api/v1", headers={"Accept-Language": "de"})

    assert (answer.status_code, answer.json()["title"]) == (503, "Zurzeit nicht erreichbar")
    assert answer.headers["Content-Language"] == "de"
