"""A process of the public side alone: which addresses it knows, and that it changes nothing."""

import importlib.util
from types import ModuleType
from typing import Any

import pytest
from django.conf import settings as current
from django.core.exceptions import ImproperlyConfigured
from django.urls import Resolver404, resolve

from tests.architecture.doors import DOORS
from tests.journeys.actors import Actor

PUBLIC = "portal.public_urls"
PRIVATE = [
    route
    for route, door in DOORS.items()
    if door.face in {"partner", "review", "harvester", "personal", "vetted"}
]


def settings_with(monkeypatch: pytest.MonkeyPatch, faces: str) -> ModuleType:
    """Return the settings as a process with this variable reads them."""
    monkeypatch.setenv("DRILOSPHERE_FACES", faces)
    spec = importlib.util.spec_from_file_location(
        "read_anew", current.BASE_DIR / "portal/settings.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def public_only(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    read = settings_with(monkeypatch, "public")
    settings.ROOT_URLCONF, settings.MIDDLEWARE = read.ROOT_URLCONF, read.MIDDLEWARE


def test_faces_are_chosen_by_a_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    assert settings_with(monkeypatch, "all").ROOT_URLCONF == "portal.urls"
    assert settings_with(monkeypatch, "public").ROOT_URLCONF == PUBLIC
    with pytest.raises(ImproperlyConfigured, match="DRILOSPHERE_FACES must be all or public"):
        settings_with(monkeypatch, "some")


@pytest.mark.parametrize("route", PRIVATE)
def test_private_address_is_not_even_known(route: str) -> None:
    path = "/" + route.split("<", maxsplit=1)[0] + ("x" if "<" in route else "")

    with pytest.raises(Resolver404):
        resolve(path, urlconf=PUBLIC)


@pytest.mark.django_db
@pytest.mark.usefixtures("public_only")
def test_public_address_answers_and_private_one_is_unknown() -> None:
    assert Actor().get("/api/v1/releases").status_code == 200
    assert Actor().get("/api/v1/partner/me").status_code == 404
    assert Actor().client.get("/my/token").status_code == 404


@pytest.mark.django_db
@pytest.mark.usefixtures("public_only")
def test_nothing_can_be_changed_and_a_protocol_that_asks_by_post_still_can() -> None:
    refused = Actor().client.post("/api/v1/snapshots", {})

    assert refused.status_code == 405
    assert refused.headers["Content-Type"].startswith("application/problem+json")
    assert refused.headers["Allow"] == "GET, HEAD, OPTIONS"
    form = "application/x-www-form-urlencoded"
    assert Actor().client.post("/oai", "verb=Identify", content_type=form).status_code == 200
