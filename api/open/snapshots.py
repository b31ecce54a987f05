"""Frozen queries: a permanent address for the rows of a query, to be cited and had again."""

import dataclasses
from functools import partial
from typing import Any
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.http import HttpResponse, QueryDict, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from pydantic import BaseModel, ConfigDict, Field
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.errors import Problem
from api.negotiation import ViewChooses, chosen_format
from api.open import snapshot_documentation as doc
from api.open.answers import is_unchanged, unchanged
from api.open.bodies import body_parts
from api.open.formats import COLLECTIONS, CONTENT_TYPES
from api.open.page_bodies import document_page, table_page
from api.open.parameters import ALL, Query, read_query
from api.open.rows import COLLECTION_FIELDS
from api.open.snapshot_answers import (
    described,
    links_of,
    meta_of,
    page_links,
    position_of,
    snapshot_tag,
    with_headers,
)
from api.open.views import OpenView, chosen_rows
from api.open.whole import STREAMED, require_streamed
from api.parameters import read_limit, refuse, require_known, require_only_json
from api.parsing import read_body
from api.throttling import OpenThrottle
from portal.catalogue.citations import FORMATS
from portal.records.snapshot import steady_rows
from portal.snapshots.citing import cited
from portal.snapshots.models import Snapshot
from portal.snapshots.operations import Question, freeze
from portal.snapshots.queries import (
    ChangedWhileReadError,
    Checked,
    TooLongError,
    checked,
    every_row,
    rows_between,
    snapshot_of_query,
    told_content,
)

API = "/api/v1/"
_QUERY = (
    "the address of a query of visits, pits, counts or occurrences, "
    "such as /api/v1/counts?habitat=lawn&release=1"
)
# A recorder may take the name back at any time, and a checksum could confirm a guess at it.
NAMES = frozenset({"recorded_by", "recorded_by_id", "recordedBy", "recordedByID"})
# Reference managers; text stands in every answer.
CITATIONS = {one.name: one for one in FORMATS if one.name in {"bib", "ris", "csl"}}
_CITATION_TYPES = {one.media_type.partition(";")[0]: name for name, one in CITATIONS.items()}


class SnapshotThrottle(OpenThrottle):
    """So many readings of all rows an hour for one client address."""

    scope = "snapshot"

    def get_rate(self) -> str:
        """Return the configured limit."""
        return f"{settings.SNAPSHOTS_PER_HOUR}/hour"


class SnapshotIn(BaseModel):
    """What is to be frozen."""

    model_config = ConfigDict(extra="forbid")

    query: str = Field(max_length=4000, description=f"It is {_QUERY}.")


class SnapshotsView(APIView):
    """Freezing a query; anybody may, within a strict limit."""

    permission_classes = [AllowAny]
    throttle_classes = [SnapshotThrottle]

    @extend_schema(**doc.freezing(SnapshotIn))
    def post(self, request: Request) -> Response:
        """Freeze a query, or find it frozen.

        Raises
        ------
        Problem
            If it cannot be read, or not in the time that there is.
        """
        require_known(request.query_params, [])
        query = _asked(read_body(SnapshotIn, request).query)
        rows = query.order.sorted(chosen_rows(query))
        text = _said(query)
        snapshot, is_new = snapshot_of_query(text), False
        if snapshot is None:
            question = Question(query.release, query.collection, text, query.fields, query.sort)
            write = partial(body_parts, "ndjson", query)
            try:
                snapshot, is_new = freeze(question, steady_rows(rows), write, at=timezone.now())
            except TooLongError as error:
                code = "too-large"
                raise Problem(code, f"{error} Freeze a part of it.") from error
        headers = {"Location": snapshot.record}
        return Response(described(snapshot), status=201 if is_new else 200, headers=headers)


class SnapshotView(OpenView):
    """A snapshot and what became of its rows."""

    @extend_schema(**doc.record())
    def get(self, request: Request, snapshot_id: str) -> HttpResponse:
        """Answer the snapshot."""
        parameters = request.query_params
        require_only_json(parameters, "limit", "cursor")
        snapshot = _snapshot(snapshot_id)
        first = position_of(parameters.get("cursor"), snapshot, "withdrawn")
        size = read_limit(parameters)
        etag = snapshot_tag(snapshot, first, size)
        if is_unchanged(request, etag):
            return unchanged(snapshot.release, etag)
        return with_headers(Response(described(snapshot, first, size)), snapshot, etag)


class SnapshotRowsView(OpenView):
    """The rows of a snapshot again."""

    content_negotiation_class = ViewChooses

    @extend_schema(**doc.rows())
    def get(self, request: Request, snapshot_id: str) -> HttpResponseBase:
        """Answer a page, or all rows."""
        parameters = request.query_params
        require_known(parameters, ["f", "limit", "cursor", "bom"])
        form = chosen_format(request, COLLECTIONS)
        snapshot = _snapshot(snapshot_id)
        query = _frozen(snapshot, parameters)
        if query.whole:
            require_streamed(form)
        first = position_of(query.cursor, snapshot, "rows")
        etag = snapshot_tag(snapshot, form, first, query.limit, query.whole, query.for_spreadsheets)
        if is_unchanged(request, etag):
            return unchanged(snapshot.release, etag)
        if query.whole:
            answer = _all_rows(form, snapshot, query, with_body=request.method != "HEAD")
            return with_headers(answer, snapshot, etag)
        rows = rows_between(snapshot, first, query.limit)
        links = page_links(snapshot, parameters, first, query.limit)
        return with_headers(_page(form, snapshot, query, rows, links), snapshot, etag, links)


class SnapshotCheckView(OpenView):
    """Whether a snapshot gives the same bytes as when it was made."""

    throttle_classes = [SnapshotThrottle]

    @extend_schema(**doc.check())
    def get(self, request: Request, snapshot_id: str) -> HttpResponse:
        """Read all rows again and compare."""
        require_only_json(request.query_params)
        snapshot = _snapshot(snapshot_id)
        etag = snapshot_tag(snapshot, "check")
        if is_unchanged(request, etag):
            return unchanged(snapshot.release, etag)
        found, then = _checked(snapshot), told_content(snapshot)
        data = {
            "equal": found.sha256 == snapshot.sha256,
            "then": {"rows": snapshot.rows, "sha256": then.sha256 if then else None},
            "now": {"rows": found.rows, "sha256": found.sha256},
            "withdrawn": found.withdrawn,
            "not_shown": snapshot.rows - found.rows - found.withdrawn,
        }
        body = {"data": data, "links": links_of(snapshot), "meta": meta_of(snapshot)}
        return with_headers(Response(body), snapshot, etag)


class SnapshotCitationView(OpenView):
    """How to cite a snapshot."""

    content_negotiation_class = ViewChooses

    @extend_schema(**doc.citation([*CITATIONS], [*_CITATION_TYPES]))
    def get(self, request: Request, snapshot_id: str) -> HttpResponse:
        """Answer the citation."""
        require_known(request.query_params, ["f"])
        chosen = CITATIONS[chosen_format(request, _CITATION_TYPES)]
        snapshot = _snapshot(snapshot_id)
        etag = snapshot_tag(snapshot, chosen.name)
        if is_unchanged(request, etag):
            return unchanged(snapshot.release, etag)
        name = f"snapshot-{snapshot.id}.{chosen.ending}"
        answer = HttpResponse(
            chosen.write(cited(snapshot)),
            content_type=chosen.media_type,
            headers={"Content-Disposition": f'inline; filename="{name}"'},
        )
        return with_headers(answer, snapshot, etag)


def _asked(text: str) -> Query:
    """Return the query that an address or path asks.

    Raises
    ------
    Problem
        If it is none of ours, or asks for less than all of its rows.
    """
    path, _, parameters = text.removeprefix(settings.PUBLIC_URL).partition("?")
    collection = path.removeprefix(API).removesuffix("/")
    if not path.startswith(API) or collection not in COLLECTION_FIELDS:
        refuse("query", text, _QUERY)
    read = QueryDict(parameters)
    if "cursor" in read or read.get("limit", ALL) != ALL:
        refuse("query", text, f"{_QUERY}, without limit and cursor: all of its rows are frozen")
    if NAMES.intersection(read.get("fields", "").split(",")):
        refuse("query", text, f"{_QUERY}, without names of recorders")
    return read_query(read, collection, _columns(collection))


def _said(query: Query) -> str:
    """Return the query in the one way that finds it again, with its columns if not all."""
    text = query.normalised()
    if query.fields == _columns(query.collection):
        return text
    return f"{text}&{urlencode({'fields': ','.join(query.fields)})}"


def _columns(collection: str) -> list[str]:
    """Return the columns of a collection that are frozen: all but the names of recorders."""
    return [name for name in COLLECTION_FIELDS[collection] if name not in NAMES]


def _snapshot(snapshot_id: str) -> Snapshot:
    """Return a snapshot.

    Raises
    ------
    Problem
        If there is none of this name.
    """
    snapshot = Snapshot.objects.select_related("release").filter(pk=snapshot_id).first()
    if snapshot is None:
        code = "not-found"
        raise Problem(code, "There is no such snapshot.")
    return snapshot


def _frozen(snapshot: Snapshot, parameters: QueryDict) -> Query:
    """Return the query of a snapshot, to be answered as the parameters say."""
    asked = QueryDict(f"{urlsplit(snapshot.query).query}&{parameters.urlencode()}")
    query = read_query(asked, snapshot.collection, COLLECTION_FIELDS[snapshot.collection])
    return dataclasses.replace(query, fields=snapshot.fields)


def _page(
    form: str, snapshot: Snapshot, query: Query, rows: list[Any], links: dict[str, str]
) -> HttpResponse:
    if form in STREAMED:
        return table_page(form, query, rows)
    about = {
        "links": {name: links.get(name) for name in ("self", "next", "prev")},
        "page": {"returned": len(rows)},
        "meta": meta_of(snapshot),
    }
    return document_page(form, query, rows, about)


def _all_rows(form: str, snapshot: Snapshot, query: Query, *, with_body: bool) -> HttpResponseBase:
    kind = CONTENT_TYPES[form]
    headers = {"Content-Disposition": f'attachment; filename="snapshot-{snapshot.id}.{form}"'}
    if not with_body:
        return HttpResponse(content_type=kind, headers=headers)
    parts = body_parts(form, query, every_row(snapshot))
    return StreamingHttpResponse(parts, content_type=kind, headers=headers)


def _checked(snapshot: Snapshot) -> Checked:
    """Return what all rows of a snapshot are now.

    Raises
    ------
    Problem
        If reading them takes longer than it may, or the data change meanwhile.
    """
    try:
        return checked(snapshot, partial(body_parts, "ndjson", _frozen(snapshot, QueryDict())))
    except TooLongError as error:
        code = "too-large"
        advice = "Download all rows as NDJSON and compute their SHA-256 yourself."
        raise Problem(code, f"{error} {advice}") from error
    except ChangedWhileReadError as error:
        code = "wrong-state"
        raise Problem(code, f"{error} Ask again.") from error
