"""The bytes of rows in each format of tables, for a page and for a whole query alike."""

from collections.abc import Generator, Iterable, Iterator
from typing import TYPE_CHECKING, Any

from django.db.models import QuerySet

from api.open import geoparquet
from api.open.formats import as_csv, csv_parts, ndjson_parts
from api.open.geoparquet import parquet_parts, query_schema, told_batches
from api.open.parameters import Query
from api.open.rows import DICTIONARY, row_writer
from portal.archive.copied_csv import copied_csv, ended, is_copied
from portal.archive.copied_table import copied_batches
from portal.archive.edition import edition_of
from portal.records.fields import Field
from portal.records.queries import TABLES

if TYPE_CHECKING:
    import pyarrow


def body_parts(form: str, query: Query, rows: Iterable[Any]) -> Iterator[bytes]:
    """Return published rows part by part as csv, ndjson or parquet."""
    told_of = row_writer(query.release, query.collection, query.fields)
    if form == "parquet":
        schema = _schema(query)
        return parquet_parts(told_batches(((row, told_of(row)) for row in rows), schema), schema)
    told = (told_of(row) for row in rows)
    if form == "ndjson":
        return ndjson_parts(told)
    return csv_parts(told, query.fields, for_spreadsheets=query.for_spreadsheets)


def can_be_copied(form: str, query: Query) -> bool:
    """Tell whether the database itself can write the rows: columns as they are, no Darwin Core."""
    as_it_is = query.collection in TABLES and not query.for_spreadsheets
    return as_it_is and form in {"csv", "parquet"} and is_copied()


def copied_parts(form: str, query: Query, rows: QuerySet[Any]) -> Generator[bytes]:
    """Yield the same bytes as `body_parts`, but of rows that the database writes itself."""
    if form == "parquet":
        schema = _schema(query)
        batches = copied_batches(rows, _fields(query), schema, size=geoparquet.ROWS_AT_ONCE)
        yield from parquet_parts(batches, schema)
        return
    yield as_csv([], query.fields, for_spreadsheets=False)
    for lines in copied_csv(rows, _fields(query)):
        yield ended(lines)


def _fields(query: Query) -> list[Field]:
    return [field for field in DICTIONARY[query.collection] if field.name in query.fields]


def _schema(query: Query) -> "pyarrow.Schema":
    edition = edition_of(query.release)
    return query_schema(edition, query.collection, _fields(query), query.normalised())
