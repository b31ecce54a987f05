"""A page of rows as an answer in any format of collections."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.http import HttpResponse
from rest_framework.response import Response

from api.open.bodies import body_parts
from api.open.formats import CONTENT_TYPES, GEOJSON
from api.open.geojson import feature_collection, with_precision
from api.open.parameters import Query
from api.open.rows import COLLECTION_FIELDS, row_writer


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
