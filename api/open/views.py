"""Open reading: collections, single records and summaries of a frozen release."""

from typing import Any, ClassVar
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.views import APIView

from api.errors import Problem
from api.links import address
from api.negotiation import ViewChooses, chosen_format
from api.open import documentation as doc
from api.open.answers import (
    dressed,
    entity_tag,
    is_unchanged,
    json_answer,
    meta,
    unchanged,
)
from api.open.formats import COLLECTIONS
from api.open.page_bodies import document_page, is_prepared, prepared_page, table_page
from api.open.pages import PREPARED_ROWS, matched, page_links, page_of
from api.open.parameters import Query, apply_filters, read_query, read_release
from api.open.rows import COLLECTION_FIELDS
from api.open.whole import STREAMED, require_streamed, whole_answer
from api.pagination import MODEL_ROWS, Page
from api.parameters import require_only_json
from api.permissions import Open
from api.throttling import OpenThrottle
from portal.records.documents import plain_row
from portal.records.models import Tombstone
from portal.records.queries import TABLES


class OpenView(APIView):
    """Readable by everybody, within the limit of requests."""

    permission_classes = [Open]
    throttle_classes = [OpenThrottle]


class CollectionView(OpenView):
    """One collection, filtered, sorted and paged."""

    content_negotiation_class = ViewChooses
    collection: ClassVar[str]

    def get(self, request: Request) -> HttpResponseBase:
        """Answer a page, or all rows."""
        form = chosen_format(request, COLLECTIONS)
        names = COLLECTION_FIELDS[self.collection]
        query = read_query(request.query_params, self.collection, names)
        if query.whole:
            require_streamed(form)
        etag = entity_tag(
            query.release,
            query.normalised(),
            page=[query.limit, query.cursor, query.fields, form, query.count],
            whole=query.whole,
            spreadsheets=query.for_spreadsheets,
        )
        if is_unchanged(request, etag):
            return unchanged(query.release, etag)
        rows = chosen_rows(query)
        if query.whole:
            with_body = request.method != "HEAD"
            answer = whole_answer(form, query, rows, with_body=with_body)
            return dressed(answer, query.release, etag, collection_links(query))
        page = page_of(rows, query, PREPARED_ROWS if is_prepared(form, query) else MODEL_ROWS)
        path = f"/api/v1/{query.collection}"
        links = page_links(request, path, query, page) | collection_links(query)
        return dressed(_answer(form, query, rows, page, links), query.release, etag, links)


class RecordView(OpenView):
    """One record by its permanent id."""

    collection: ClassVar[str]

    def get(self, request: Request, record_id: UUID) -> HttpResponse:
        """Answer the record, or its tombstone.

        Raises
        ------
        Problem
            If it was withdrawn (410) or does not stand in the release (404).
        """
        require_only_json(request.query_params, "release")
        release = read_release(request.query_params)
        require_standing(record_id)
        row = TABLES[self.collection].objects.at(release.number).filter(id=record_id).first()
        if row is None:
            code = "not-found"
            raise Problem(code)
        query = f"/api/v1/{self.collection}/{record_id}?release={release.number}"
        data = plain_row(row, COLLECTION_FIELDS[self.collection])
        body = {"data": data, "links": {"self": address(query)}}
        collection = {"collection": address(f"/api/v1/{self.collection}")}
        return json_answer(request, release, query, body, links=collection)


def require_standing(record_id: UUID) -> None:
    """Refuse a withdrawn record with what is left of it.

    Raises
    ------
    Problem
        If the record was withdrawn.
    """
    stone = Tombstone.objects.filter(id=record_id).first()
    if stone is not None:
        code = "gone"
        raise Problem(
            code,
            id=str(stone.id),
            withdrawn_on=stone.withdrawn_on.isoformat(),
            reason_class=stone.reason_class,
        )


def chosen_rows(query: Query) -> QuerySet[Any]:
    """Return the published rows that a query chooses, unsorted."""
    table = TABLES.get(query.collection, TABLES["counts"])
    rows: QuerySet[Any] = table.objects.at(query.release.number)
    if query.collection == "occurrences":
        rows = rows.filter(occurrence_status__isnull=False)
    return apply_filters(rows, query.collection, query.filters)


def collection_links(query: Query) -> dict[str, str]:
    """Return the links of every answer of a collection."""
    return {
        "describedby": address("/api/v1/fields"),
        "collection": address(f"/api/v1/{query.collection}"),
    }


def _answer(
    form: str, query: Query, rows: QuerySet[Any], page: Page, links: dict[str, str]
) -> HttpResponse:
    about: dict[str, Any] = {}
    if form not in STREAMED:
        about = {
            "links": {name: links.get(name) for name in ("self", "next", "prev")},
            "page": {"returned": len(page.rows), **matched(rows, query)},
            "meta": meta(query.release, query.normalised()),
        }
    if is_prepared(form, query):
        return prepared_page(form, page.rows, about)
    if form in STREAMED:
        return table_page(form, query, page.rows)
    return document_page(form, query, page.rows, about)


@extend_schema_view(get=extend_schema(**doc.collection("visits")))
class VisitsView(CollectionView):
    """Visits of a release."""

    collection = "visits"


@extend_schema_view(get=extend_schema(**doc.collection("pits")))
class PitsView(CollectionView):
    """Pits of a release."""

    collection = "pits"


@extend_schema_view(get=extend_schema(**doc.collection("counts")))
class CountsView(CollectionView):
    """Counts of a release, zeros and the other kinds of nothing included."""

    collection = "counts"


@extend_schema_view(get=extend_schema(**doc.collection("occurrences")))
class OccurrencesView(CollectionView):
    """Counted lines under their Darwin Core names."""

    collection = "occurrences"


@extend_schema_view(get=extend_schema(**doc.record("visits")))
class VisitView(RecordView):
    """One visit."""

    collection = "visits"


@extend_schema_view(get=extend_schema(**doc.record("pits")))
class PitView(RecordView):
    """One pit."""

    collection = "pits"


@extend_schema_view(get=extend_schema(**doc.record("counts")))
class CountView(RecordView):
    """One count."""

    collection = "counts"
