"""What every open answer carries: licence, citation, release, query, links, ETag."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.utils.http import http_date
from rest_framework.request import Request
from rest_framework.response import Response

from api.links import address
from api.open.parameters import stamp
from portal.records.models import Release
from portal.records.queries import build_of


def meta(release: Release, query: str) -> dict[str, Any]:
    """Return the members that say what was answered and how to cite it."""
    return {
        "release": release.number,
        "license": {"id": release.licence_id, "url": release.licence_url},
        "citation": release.citation,
        "query": query,
        "notice": settings.DATASET["notice"],
    }


def entity_tag(release: Release, query: str, **more: object) -> str:
    """Return the ETag of an answer, from what it depends on and without running the query."""
    return stamp(release.number, build_of(release), settings.VERSION, query, more)


def is_unchanged(request: Request, etag: str) -> bool:
    """Tell whether the caller holds this very answer."""
    sent = request.headers.get("If-None-Match", "")
    tags = {tag.strip().removeprefix("W/") for tag in sent.split(",")}
    return etag in tags or sent.strip() == "*"


def dressed(
    response: HttpResponse, release: Release, etag: str, links: Mapping[str, str]
) -> HttpResponse:
    """Add the headers of an open answer."""
    relations = {
        "license": release.licence_url,
        "cite-as": address(f"/releases/{release.number}"),
        **links,
    }
    response["Link"] = ", ".join(f'<{url}>; rel="{name}"' for name, url in relations.items())
    response["ETag"] = etag
    response["Last-Modified"] = http_date(release.issued_at.timestamp())
    response["Cache-Control"] = "public, max-age=300"
    response["Vary"] = "Accept, Accept-Language"
    return response


def unchanged(release: Release, etag: str) -> HttpResponse:
    """Return 304."""
    return dressed(HttpResponse(status=304), release, etag, {})


def json_answer(
    request: Request, release: Release, query: str, body: Mapping[str, Any]
) -> HttpResponse:
    """Return a JSON answer with everything that it must carry."""
    etag = entity_tag(release, query)
    if is_unchanged(request, etag):
        return unchanged(release, etag)
    response = Response({**body, "meta": meta(release, query)})
    return dressed(response, release, etag, {"describedby": address("/api/v1/fields")})
