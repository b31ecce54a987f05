"""Rows as GeoParquet, written batch by batch so that a table of any size needs little memory."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from api.open.formats import in_parts
from portal.archive.edition import Edition
from portal.archive.flat_tables import table_schema
from portal.archive.geometry import as_wkb, place_of
from portal.archive.geoparquet import GEOMETRY, with_geometry
from portal.records.fields import Field

if TYPE_CHECKING:
    import pyarrow

ROWS_AT_ONCE = 4_000


class Drain:
    """A file that is written to at one end and emptied at the other."""

    closed = False

    def __init__(self) -> None:
        self._parts: list[bytes] = []
        self._size_bytes = 0

    def write(self, content: Any) -> int:
        """Take bytes."""
        part = bytes(content)
        self._parts.append(part)
        self._size_bytes += len(part)
        return len(part)

    def tell(self) -> int:
        """Return how many bytes were taken so far."""
        return self._size_bytes

    def flush(self) -> None:
        """Do nothing: what was written is there."""

    def close(self) -> None:
        """Do nothing: it is emptied once more."""

    def emptied(self) -> bytes:
        """Return what was written since the last time."""
        content = b"".join(self._parts)
        self._parts.clear()
        return content


def query_schema(
    edition: Edition, collection: str, fields: Sequence[Field], query: str
) -> "pyarrow.Schema":
    """Return the columns of an answer, with the geometry last, and what is said of the whole."""
    schema = with_geometry(table_schema(edition, collection, fields))
    return schema.with_metadata({**schema.metadata, "query": query})


def parquet_parts(
    batches: "Iterable[pyarrow.RecordBatch]", schema: "pyarrow.Schema"
) -> Iterator[bytes]:
    """Yield the bytes of a file of batches."""
    from pyarrow.parquet import ParquetWriter  # noqa: PLC0415 -- heavy import

    drain = Drain()
    with ParquetWriter(drain, schema, compression="zstd") as writer:
        for batch in batches:
            writer.write_batch(batch)
            yield drain.emptied()
    yield drain.emptied()


def told_batches(
    rows: Iterable[tuple[Any, dict[str, Any]]], schema: "pyarrow.Schema"
) -> "Iterator[pyarrow.RecordBatch]":
    """Yield batches of published rows, each with what is told of it."""
    from pyarrow import RecordBatch  # noqa: PLC0415 -- heavy import

    days = [column.name for column in schema if str(column.type) == "date32[day]"]
    for part in in_parts((_record(row, told, days) for row, told in rows), ROWS_AT_ONCE):
        yield RecordBatch.from_pylist(part, schema=schema)


def _record(row: Any, told: dict[str, Any], days: Sequence[str]) -> dict[str, Any]:
    place = place_of(row.footprint_wkt, row.longitude, row.latitude)
    return {
        **told,
        **{name: date.fromisoformat(told[name]) for name in days},
        GEOMETRY: as_wkb(place),
    }
