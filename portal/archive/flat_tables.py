"""A release as three flat tables, each as GeoParquet and as CSV, in constant memory.

The columns are those of the data dictionary. A Parquet file carries unit and meaning of each
column, and licence, citation and release of the whole; the same rows give the same bytes.
"""

import csv
import io
import json
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any, BinaryIO

from django.db.models import QuerySet

from portal.archive.cells import csv_cell
from portal.archive.copied_csv import copied_csv, ended, is_copied
from portal.archive.copied_table import copied_batches
from portal.archive.edition import Edition
from portal.archive.geometry import as_wkb, place_of
from portal.archive.geoparquet import GEOMETRY, with_geometry
from portal.archive.values import instant
from portal.records.fields import FIELDS, Field
from portal.records.queries import TABLES
from portal.records.summaries import comparable_kits

if TYPE_CHECKING:
    import pyarrow

ROWS_OF_A_GROUP = 20_000
_ORDER = {
    "visits": ("id",),
    "pits": ("visit_id", "id"),
    "counts": ("visit_id", "pit_id", "phase_id", "id"),
}
_FETCHED_AT_ONCE = 2_000
OUTLINE = "footprint_wkt"
_COMPRESSION = "zstd"


def write_parquet(edition: Edition, collection: str, target: BinaryIO) -> int:
    """Write a table of a release as Parquet; return the number of its rows.

    Parameters
    ----------
    edition : Edition
        The release with its licence and owner.
    collection : str
        visits, pits or counts.
    target : file
        An open file that is written to.
    """
    # Imported here: the library is large, and only building files needs it.
    from pyarrow.parquet import ParquetWriter  # noqa: PLC0415 -- heavy import

    schema, written = with_geometry(table_schema(edition, collection)), 0
    groups: Iterator[pyarrow.RecordBatch]
    if is_copied():
        rows = _rows(edition, collection)
        groups = copied_batches(rows, FIELDS[collection], schema, size=ROWS_OF_A_GROUP)
    else:
        groups = _groups(edition, collection, schema)
    with ParquetWriter(target, schema, compression=_COMPRESSION) as writer:
        for group in groups:
            writer.write_batch(group)
            written += group.num_rows
    return written


def write_csv(edition: Edition, collection: str, target: BinaryIO) -> int:
    """Write a table of a release as CSV (RFC 4180, UTF-8); return the number of its rows."""
    names = [field.name for field in FIELDS[collection]]
    text = io.TextIOWrapper(target, encoding="utf-8", newline="", write_through=True)
    writer, written = csv.writer(text), 0
    writer.writerow(names)
    if is_copied():
        for lines in copied_csv(_rows(edition, collection), FIELDS[collection]):
            target.write(ended(lines))
            written += len(lines)
    else:
        for row in _told(edition, collection):
            writer.writerow([csv_cell(row[name]) for name in names])
            written += 1
    text.detach()  # the caller closes the file
    return written


def table_schema(
    edition: Edition, collection: str, fields: Sequence[Field] = ()
) -> "pyarrow.Schema":
    """Return the columns of a table with unit and meaning, and what is said of the whole.

    Parameters
    ----------
    edition : Edition
        The release with its licence and owner.
    collection : str
        What the table is called.
    fields : sequence of Field
        The columns; all of the collection unless given.
    """
    import pyarrow as pa  # noqa: PLC0415 -- heavy import

    kinds = {
        "words": pa.list_(pa.string()),
        "whole number": pa.int64(),
        "number": pa.float64(),
        "yes/no": pa.bool_(),
        "day": pa.date32(),
    }
    columns = [
        pa.field(
            field.name,
            kinds.get(field.type, pa.string()),
            nullable=bool(field.null_means),
            metadata=_about_column(field),
        )
        for field in fields or FIELDS[collection]
    ]
    return pa.schema(columns, metadata=_about_table(edition, collection))


def _about_column(field: Field) -> dict[str, str]:
    said = {
        "label": field.label,
        "description": field.definition,
        "unit": field.unit,
        "null_means": field.null_means,
        "vocabulary": field.vocabulary,
    }
    return {name: text for name, text in said.items() if text}


def _about_table(edition: Edition, collection: str) -> dict[str, str]:
    release = edition.release
    return {
        "title": f"{release.title}: {collection}",
        "release": str(release.number),
        "issued_at": instant(release.issued_at),
        "licence": edition.licence.spdx_id,
        "licence_url": edition.licence.legal_text,
        "citation": release.citation,
        "rights_holder": edition.rights_holder,
        "notice": edition.notice,
        "comparable_kits": json.dumps(comparable_kits(release.protocols), sort_keys=True),
    }


def _rows(edition: Edition, collection: str) -> QuerySet[Any]:
    rows: QuerySet[Any] = TABLES[collection].objects.at(edition.release.number)
    return rows.order_by(*_ORDER[collection])


def _told(edition: Edition, collection: str) -> Iterator[dict[str, Any]]:
    fields = FIELDS[collection]
    ids = [field.name for field in fields if field.type == "id"]
    columns = _rows(edition, collection).values(*(field.name for field in fields), OUTLINE)
    for row in columns.iterator(chunk_size=_FETCHED_AT_ONCE):
        yield row | {name: str(row[name]) for name in ids}


def _groups(
    edition: Edition, collection: str, schema: "pyarrow.Schema"
) -> "Iterator[pyarrow.RecordBatch]":
    """Yield groups of rows; few rows at once are Python objects, which take much more memory."""
    from pyarrow import RecordBatch, Table  # noqa: PLC0415 -- heavy import

    rows = map(_located, _told(edition, collection))
    while True:
        group = islice(rows, ROWS_OF_A_GROUP)
        batches = [
            RecordBatch.from_pylist(part, schema=schema)
            for part in iter(lambda: list(islice(group, _FETCHED_AT_ONCE)), [])  # noqa: B023
        ]
        if not batches:
            return
        yield Table.from_batches(batches).combine_chunks().to_batches()[0]


def _located(row: dict[str, Any]) -> dict[str, Any]:
    place = place_of(row[OUTLINE], row["longitude"], row["latitude"])
    return {**row, GEOMETRY: as_wkb(place)}
