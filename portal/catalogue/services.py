"""The services through which the data are read by machine, as far as this site has them."""

from dataclasses import dataclass

from django.conf import settings
from django.urls import Resolver404, resolve


@dataclass(frozen=True)
class Service:
    """A service: its paths, and the standard that it follows, if any."""

    title: str
    path: str
    description_path: str
    standard: str

    @property
    def endpoint(self) -> str:
        """Return the address of the service."""
        return f"{settings.PUBLIC_URL}{self.path}"

    @property
    def description(self) -> str:
        """Return the address at which the service describes itself."""
        return f"{settings.PUBLIC_URL}{self.description_path}"


_KNOWN = (
    Service("Open data API", "/api/v1", "/api/v1/openapi.json", ""),
    Service(
        "OGC API - Features",
        "/features",
        "/features/api",
        "http://www.opengis.net/spec/ogcapi-features-1/1.0",
    ),
    Service("OAI-PMH 2.0", "/oai", "/oai?verb=Identify", "http://www.openarchives.org/OAI/2.0/"),
)


def services() -> list[Service]:
    """Return the services that have an address here."""
    return [service for service in _KNOWN if _is_here(service.path)]


def _is_here(path: str) -> bool:
    try:
        resolve(path)
    except Resolver404:
        return False
    return True
