"""Rows of flat tables as Arrow batches, read from CSV that a PostgreSQL server writes itself."""

import io
from collections.abc import Callable, Generator, Sequence
from itertools import chain, islice
from typing import TYPE_CHECKING, Any

from django.db.models import F, Func, QuerySet, TextField, Value
from django.db.models.functions import Coalesce, NullIf

from portal.archive.cells import LIST_SEPARATOR
from portal.archive.copied_csv import as_text
from portal.archive.geometry import as_wkb, place_of
from portal.archive.geoparquet import GEOMETRY
from portal.records.fields import Field
from portal.records.snapshot import copied_lines

if TYPE_CHECKING:
    import pyarrow as pa

_SEPARATED = (
    "CASE WHEN {0} IS NOT NULL THEN "
    f"array_to_string(ARRAY(SELECT jsonb_array_elements_text({{0}})), '{LIST_SEPARATOR}') END"
)
_CELLS = {"words": _SEPARATED, "day": "to_char({0}, 'YYYY-MM-DD')"}
_POINT = "(%(expressions)s)", "::text || ' ' || "


def copied_batches(
    rows: QuerySet[Any], fields: Sequence[Field], schema: "pa.Schema", *, size: int
) -> "Generator[pa.RecordBatch]":
    """Yield batches of so many rows, with the geometry last; for PostgreSQL alone."""
    cells: dict[str, Any] = {f"cell_{number}": _cell(field) for number, field in enumerate(fields)}
    cells[GEOMETRY] = _place()
    parts = copied_lines(rows.annotate(**cells).values_list(*cells))
    lines = chain.from_iterable(parts)
    while batch := list(islice(lines, size)):
        yield _batch(b"\n".join(batch), schema)


def _cell(field: Field) -> F | Func:
    template = _CELLS.get(field.type)
    return as_text(template, field.name) if template else F(field.name)


def _place() -> Coalesce:
    """Return the outline, else the point as text, else null."""
    template, joiner = _POINT
    point = Func(
        "longitude", "latitude", template=template, arg_joiner=joiner, output_field=TextField()
    )
    return Coalesce(NullIf("footprint_wkt", Value("")), point, output_field=TextField())


def _batch(lines: bytes, schema: "pa.Schema") -> "pa.RecordBatch":
    import pyarrow as pa  # noqa: PLC0415 -- heavy import
    from pyarrow import csv  # noqa: PLC0415 -- heavy import

    made_here = {GEOMETRY: _wkb} | {
        column.name: _words for column in schema if pa.types.is_list(column.type)
    }
    table = csv.read_csv(
        io.BytesIO(lines),
        read_options=csv.ReadOptions(column_names=schema.names, use_threads=False),
        parse_options=csv.ParseOptions(newlines_in_values=True),
        convert_options=csv.ConvertOptions(
            column_types={
                column.name: pa.string() if column.name in made_here else column.type
                for column in schema
            },
            null_values=[""],
            strings_can_be_null=True,
            quoted_strings_can_be_null=False,
            true_values=["t"],
            false_values=["f"],
        ),
    ).combine_chunks()
    columns = [
        _each(table[column.name], made_here[column.name], column.type)
        if column.name in made_here
        else table[column.name]
        for column in schema
    ]
    return pa.table(columns, schema=schema).combine_chunks().to_batches()[0]


def _each(
    column: "pa.ChunkedArray", value_of: Callable[[str], object], kind: "pa.DataType"
) -> "pa.Array":
    """Return what texts stand for; each that comes again and again is read once."""
    import pyarrow as pa  # noqa: PLC0415 -- heavy import

    coded = column.combine_chunks().dictionary_encode()
    values = [value_of(text) for text in coded.dictionary.to_pylist()]
    return pa.array(values, kind).take(coded.indices)


def _words(text: str) -> list[str]:
    return text.split(LIST_SEPARATOR) if text else []


def _wkb(text: str) -> bytes | None:
    if text.startswith("POLYGON"):
        return as_wkb(place_of(text, None, None))
    longitude, latitude = text.split()
    return as_wkb([(float(longitude), float(latitude))])
