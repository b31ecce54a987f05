"""A call of the face: in which form and of which release, and the answer to it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from api.links import address
from api.negotiation import chosen_format
from api.open.answers import dressed, entity_tag, is_unchanged, unchanged
from api.open.features.pages import Sheet, page
from api.open.formats import JSON
from api.open.parameters import read_release
from api.parameters import require_known
from portal.records.models import Release

FACE = "/features"
HTML = "text/html"
PAGE = f"{HTML}; charset=utf-8"
Link = dict[str, str]


@dataclass(frozen=True)
class Call:
    """What is asked for, once it is understood.

    Parameters
    ----------
    request : Request
        The request.
    release : Release
        The release read.
    form : str
        ``json`` or ``html``.
    media_type : str
        Media type of the answer that is not a page.
    path : str
        Path of the resource.
    """

    request: Request
    release: Release
    form: str
    media_type: str
    path: str

    @property
    def here(self) -> str:
        """Return the address of the resource as it was asked for."""
        asked = [(name, value) for name, value in self.request.query_params.items()]
        return address(self.path) + (f"?{urlencode(asked)}" if asked else "")

    def to(self, path: str) -> str:
        """Return the address of another resource, in the same release if one was asked for."""
        asked = "release" in self.request.query_params
        return address(FACE + path) + (f"?release={self.release.number}" if asked else "")

    def own_links(self) -> list[Link]:
        """Return the links to this answer and to its other form."""
        return [
            link("self", in_form(self.here, "json"), self.media_type, "This document"),
            link("alternate", in_form(self.here, "html"), HTML, "This document as a page"),
        ]

    def query(self) -> str:
        """Return the address as one reproducible text; the release is always named."""
        return f"{self.path}?release={self.release.number}"


def read_call(request: Request, path: str, *media_types: str) -> Call:
    """Understand in which form and of which release a resource is asked for."""
    forms = {**dict.fromkeys([*media_types, JSON], "json"), HTML: "html"}
    form = chosen_format(request, forms)
    release = read_release(request.query_params)
    return Call(request, release, form, next(iter(forms)), FACE + path)


def require_plain(request: Request) -> None:
    """Refuse parameters of a resource that takes no others than a release and a form.

    Raises
    ------
    Problem
        If there is another one.
    """
    require_known(request.query_params, ["release", "f"])


def answered(call: Call, sheet: Sheet, body_of: Callable[[], Mapping[str, Any]]) -> HttpResponse:
    """Return the answer, computed only if the caller does not hold it."""
    etag = entity_tag(call.release, call.query(), here=call.here, form=call.form)
    if sheet.carries_time:  # two answers then say the same in different bytes
        etag = f"W/{etag}"
    if is_unchanged(call.request, etag):
        return unchanged(call.release, etag)
    body = body_of()
    response: HttpResponse
    if call.form == "html":
        there = {"as_json": in_form(call.here, "json"), "start": call.to("")}
        response = HttpResponse(page(sheet, call.release, body, **there), content_type=PAGE)
    else:
        response = Response(body, content_type=call.media_type)
    return dressed(response, call.release, etag, _headed(call, sheet, body))


def _headed(call: Call, sheet: Sheet, body: Mapping[str, Any]) -> dict[str, str]:
    """Return the links that stand in the head of an answer as well."""
    links = {
        one["rel"]: one["href"]
        for one in body.get("links", [])
        if one["rel"] in {"self", "next", "prev"}
    }
    if sheet.collection is not None:
        place = f"/collections/{sheet.collection.id}"
        links |= {"collection": call.to(place), "describedby": call.to(f"{place}/schema")}
    return links


def link(relation: str, href: str, media_type: str, title: str) -> Link:
    """Return a link as the standard writes it."""
    return {"rel": relation, "href": href, "type": media_type, "title": title}


def in_form(href: str, form: str) -> str:
    """Return an address with a form; JSON needs none to be named."""
    parts = urlsplit(href)
    kept = [(name, value) for name, value in parse_qsl(parts.query) if name != "f"]
    named = [*kept, *([("f", form)] if form != "json" else [])]
    return parts._replace(query=urlencode(named)).geturl()
