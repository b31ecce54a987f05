"""Only services that answer here are listed."""

from types import ModuleType

import pytest
from django.http import HttpResponse
from django.urls import path
from pytest_django import Settings

from portal.catalogue.services import services


def site(*paths: str) -> ModuleType:
    made = ModuleType("made_urls")
    made.urlpatterns = [path(each, lambda _: HttpResponse()) for each in paths]  # type: ignore[attr-defined]  # a module of our own
    return made


@pytest.mark.parametrize(
    ("paths", "titles"),
    [
        ((), []),
        (("api/v1",), ["Open data API"]),
        (("api/v1", "oai", "features"), ["Open data API", "OGC API - Features", "OAI-PMH 2.0"]),
    ],
)
def test_services_are_those_with_an_address(
    paths: tuple[str, ...], titles: list[str], settings: Settings
) -> None:
    settings.ROOT_URLCONF = site(*paths)

    assert [service.title for service in services()] == titles


def test_service_has_absolute_addresses(settings: Settings) -> None:
    settings.PUBLIC_URL = "https://data.example.org"

    api = services()[0]

    assert api.endpoint == "https://data.example.org/api/v1"
    assert api.description == "https://data.example.org/api/v1/openapi.json"
