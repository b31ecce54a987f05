"""What search engines look for: which pages there are, and which to leave alone."""

from collections.abc import Iterator
from datetime import datetime
from xml.etree.ElementTree import Element, SubElement

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from portal.archive import addresses
from portal.archive.values import instant
from portal.archive.xml_document import document
from portal.catalogue.entries import changed_at
from portal.records.fields import every_field
from portal.records.models import Release

NAMESPACE = "http://www.sitemaps.org/schemas/sitemap/0.9"
CLOSED = ("/api/v1/partner/", "/api/v1/review/", "/api/v1/vetted/", "/my/")


def sitemap(request: HttpRequest) -> HttpResponse:
    """List the pages about the data with the instant of their last change."""
    del request
    root = Element("urlset", {"xmlns": NAMESPACE})
    for address, at in _pages():
        entry = SubElement(root, "url")
        SubElement(entry, "loc").text = address
        if at is not None:
            SubElement(entry, "lastmod").text = instant(at)
    return HttpResponse(document(root), content_type="application/xml")


def robots(request: HttpRequest) -> HttpResponse:
    """Name the list of pages, and the addresses that need a token or belong to a person."""
    del request
    lines = [
        "User-agent: *",
        *(f"Disallow: {path}" for path in CLOSED),
        "Allow: /",
        "",
        f"Sitemap: {settings.PUBLIC_URL}/sitemap.xml",
    ]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")


def _pages() -> Iterator[tuple[str, datetime | None]]:
    releases = list(Release.objects.order_by("-number"))
    changed = {release.number: changed_at(release) for release in releases}
    newest = max(changed.values(), default=None)
    yield settings.PUBLIC_URL + "/", newest
    if releases:
        yield addresses.dataset_page(), newest
    for release in releases:
        yield release.page, changed[release.number]
    for name, at in _protocols(releases).items():
        yield addresses.protocol(name), at
    for path in ("/docs", "/terms", "/changes"):
        yield settings.PUBLIC_URL + path, None
    for name in every_field():
        yield addresses.field(name), None


def _protocols(releases: list[Release]) -> dict[str, datetime]:
    """Return the protocols that a release used, with the instant of the newest that did."""
    used: dict[str, datetime] = {}
    for release in releases:
        for definition in release.protocols:
            used.setdefault(f"{definition['key']}/{definition['version']}", release.issued_at)
    return used
