"""What every open answer carries: licence, citation, release, query, links, ETag."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeVar

from django.conf import settings
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.open.parameters import stamp
from portal.records.models import Release

PRECONDITION_FAILED = 412
AnswerT = TypeVar("AnswerT", bound=HttpResponseBase)


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
    state = (release.number, release.newest_build, release.citation)
    return stamp(*state, settings.VERSION, query, more)


def is_unchanged(request: Request, etag: str) -> bool:
    """Tell whether the caller holds this very answer.

    Only tags are compared: an answer can change without a release, by a withdrawal or by new
    code, so that a date would say too little.

    Raises
    ------
    Problem
        If the caller wants the answer only as something that it is not (412).
    """
    answer = get_conditional_response(request._request, etag)  # noqa: SLF001 -- DRF's way to Django's request
    if answer is not None and answer.status_code == PRECONDITION_FAILED:
        code = "revision-stale"
        raise Problem(code, "The answer at this address is not the one that the request names.")
    return answer is not None


def dressed(response: AnswerT, release: Release, etag: str, links: Mapping[str, str]) -> AnswerT:
    """Add the headers of an open answer."""
    relations = {
        "license": release.licence_url,
        "cite-as": release.cited_at,
        "describedby": address("/api/v1/fields"),
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
    request: Request,
    release: Release,
    query: str,
    body: Mapping[str, Any],
    *,
    language: str | None = None,
    links: Mapping[str, str] = MappingProxyType({}),
) -> HttpResponse:
    """Return a JSON answer with everything that it must carry."""
    etag = entity_tag(release, query, language=language)
    if is_unchanged(request, etag):
        return unchanged(release, etag)
    response = Response({**body, "meta": meta(release, query)})
    if language is not None:
        response["Content-Language"] = language
    return dressed(response, release, etag, links)
