"""A page of rows as an answer in any format of collections."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.http import HttpResponse
from rest_framework.response import Response

from api.open.bodies import body_parts
from api.open.formats import CONTENT_TYPES, GEOJSON, JSON
from api.open.geojson import feature_collection, with_precision
from api.open.parameters import Query
from api.open.rows import COLLECTION_FIELDS, row_writer
from portal.records.documents import json_text
from portal.records.fields import FIELDS


def is_prepared(form: str, query: Query) -> bool:
    """Tell whether an answer is made of the documents that rows have: all fields, as JSON."""
    whole = query.collection in FIELDS and query.fields == COLLECTION_FIELDS[query.collection]
    return whole and form in {"json", "ndjson"}


def prepared_page(form: str, documents: Sequence[str], about: Mapping[str, Any]) -> HttpResponse:
    """Return rows whose documents are prepared as json or ndjson."""
    if form == "ndjson":
        lines = "".join(f"{document}\n" for document in documents)
        return HttpResponse(lines.encode(), content_type=CONTENT_TYPES[form])
    body = f'{{"data":[{",".join(documents)}],{json_text(about)[1:]}'
    return HttpResponse(body.encode(), content_type=JSON)


def table_page(form: str, query: Query, rows: Sequence[Any]) -> HttpResponse:
    """Return rows as csv, ndjson or parquet."""
    body = b"".join(body_parts(form, query, rows))
    return HttpResponse(body, content_type=CONTENT_TYPES[form])


def document_page(
    form: str, query: Query, rows: Sequence[Any], about: Mapping[str, Any]
) -> Response:
    """Return rows as json or geojson, with what is told of the page."""
    names: Sequence[str] = query.fields
    if form == "geojson":
        names = with_precision(query.collection, names, COLLECTION_FIELDS[query.collection])
    data = [*map(row_writer(query.release, query.collection, names), rows)]
    if form == "geojson":
        return Response(feature_collection(rows, data, about), content_type=GEOJSON)
    return Response({"data": data, **about})
