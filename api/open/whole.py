"""All rows of a query at once (``limit=all``): a ready file if there is one, else a stream."""

from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse, HttpResponseRedirect, StreamingHttpResponse
from django.http.response import HttpResponseBase

from api.open.bodies import body_parts, can_be_copied, copied_parts
from api.open.formats import CONTENT_TYPES
from api.open.parameters import DEFAULT_SORT, Query
from api.open.rows import COLLECTION_FIELDS
from api.parameters import MAX_LIMIT, refuse
from portal.archive import addresses
from portal.records.models import ReleaseFile
from portal.records.snapshot import steady_parts, steady_rows

STREAMED = ("csv", "ndjson", "parquet")
SEE_OTHER = 303


def require_streamed(form: str) -> None:
    """Refuse all rows at once in a format that is read as one document.

    Raises
    ------
    Problem
        If the format is not streamed.
    """
    if form not in STREAMED:
        allowed = f"a whole number from 1 to {MAX_LIMIT}; all only with f={' or '.join(STREAMED)}"
        refuse("limit", "all", allowed)


def whole_answer(
    form: str, query: Query, rows: QuerySet[Any], *, with_body: bool
) -> HttpResponseBase:
    """Return all rows: by the address of a ready file (303), else streamed from one state."""
    file = _ready_file(form, query)
    if file is not None:
        where = addresses.file(file.release_id, file.build, file.name)
        return HttpResponseRedirect(where, status=SEE_OTHER)
    headers = {
        "Content-Disposition": "attachment; filename="
        f'"{query.collection}-release-{query.release.number}.{form}"'
    }
    kind = CONTENT_TYPES[form]
    if not with_body:
        return HttpResponse(content_type=kind, headers=headers)
    ordered = query.order.sorted(rows)
    parts: Iterator[bytes]
    if can_be_copied(form, query):
        parts = steady_parts(copied_parts(form, query, ordered))
    else:
        parts = body_parts(form, query, steady_rows(ordered))
    return StreamingHttpResponse(parts, content_type=kind, headers=headers)


def _ready_file(form: str, query: Query) -> ReleaseFile | None:
    """Return the file that holds the very rows and columns of a query."""
    if query.filters or query.sort != DEFAULT_SORT or query.for_spreadsheets:
        return None
    if query.fields != list(COLLECTION_FIELDS[query.collection]):
        return None
    files = ReleaseFile.objects.filter(release=query.release, gone_at__isnull=True)
    return files.filter(name=f"{query.collection}.{form}").order_by("-build").first()
