"""The bytes of rows in each format of tables, for a page and for a whole query alike."""

from collections.abc import Iterable, Iterator
from typing import Any

from api.open.formats import csv_parts, ndjson_parts
from api.open.geoparquet import parquet_parts, query_schema
from api.open.parameters import Query
from api.open.rows import DICTIONARY, row_writer
from portal.archive.edition import edition_of


def body_parts(form: str, query: Query, rows: Iterable[Any]) -> Iterator[bytes]:
    """Return published rows part by part as csv, ndjson or parquet."""
    told_of = row_writer(query.release, query.collection, query.fields)
    if form == "parquet":
        fields = [field for field in DICTIONARY[query.collection] if field.name in query.fields]
        edition = edition_of(query.release)
        schema = query_schema(edition, query.collection, fields, query.normalised())
        return parquet_parts(((row, told_of(row)) for row in rows), schema)
    told = (told_of(row) for row in rows)
    if form == "ndjson":
        return ndjson_parts(told)
    return csv_parts(told, query.fields, for_spreadsheets=query.for_spreadsheets)
