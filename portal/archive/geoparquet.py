"""What makes a Parquet file GeoParquet 1.1: a column of geometries and a word about it.

No ``crs`` is named, which means OGC:CRS84, longitude first; the types of geometry are left open,
which means any.
"""

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pyarrow

GEOMETRY = "geometry"
GEO = {
    "version": "1.1.0",
    "primary_column": GEOMETRY,
    "columns": {GEOMETRY: {"encoding": "WKB", "geometry_types": []}},
}
_ABOUT = {
    "label": "place",
    "description": "Outline of the published grid cell, WGS 84, longitude first.",
    "null_means": "coordinates are withheld",
}


def with_geometry(schema: "pyarrow.Schema") -> "pyarrow.Schema":
    """Return columns with the geometry behind them."""
    import pyarrow as pa  # noqa: PLC0415 -- heavy import

    place = pa.field(GEOMETRY, pa.binary(), nullable=True, metadata=_ABOUT)
    return schema.append(place).with_metadata({**schema.metadata, "geo": json.dumps(GEO)})
