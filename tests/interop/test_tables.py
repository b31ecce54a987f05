"""Tables of a release, read from their addresses by the tools of researchers, against the JSON.

The other side is the API's JSON of all pages: each tool must find the same rows and values,
a zero apart from a null, and dates and numbers as such.
"""

import io
from pathlib import Path
from typing import Any

import duckdb
import geopandas
import pandas
import polars
import pyarrow
import pyarrow.parquet
import pytest
from shapely.geometry import shape

from tests.interop.rows import as_in_csv, by_id
from tests.interop.service import RELEASE, Service

COLLECTIONS = ("visits", "pits", "counts")
COUNTS = "/api/v1/counts"


@pytest.fixture(scope="module")
def wanted(service: Service) -> dict[str, list[dict[str, Any]]]:
    """Return the rows of each collection as JSON has them."""
    return {
        name: service.rows(f"/api/v1/{name}?release={RELEASE}&limit=100") for name in COLLECTIONS
    }


def test_json_has_what_the_comparisons_are_about(wanted: dict[str, list[dict[str, Any]]]) -> None:
    numbers = [row["number"] for row in wanted["counts"]]
    states = {row["state"] for row in wanted["counts"] if row["number"] is None}

    assert len(numbers) > 100, "more than one page"
    assert 0 in numbers
    assert states == {"not_looked_for"}
    assert {row["management"] is None for row in wanted["pits"]} == {True, False}
    assert {row["expellant_ml"] for row in wanted["pits"]} > {None}


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_pandas_reads_parquet(
    service: Service, wanted: dict[str, list[dict[str, Any]]], collection: str
) -> None:
    table = pandas.read_parquet(service.file(f"{collection}.parquet"))

    assert by_id(table.to_dict("records")) == by_id(wanted[collection])


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_pandas_reads_csv(
    service: Service, wanted: dict[str, list[dict[str, Any]]], collection: str
) -> None:
    table = pandas.read_csv(service.file(f"{collection}.csv"), keep_default_na=False, na_values="")

    assert as_in_csv(table.to_dict("records")) == as_in_csv(wanted[collection])


def test_pandas_reads_a_filtered_query_as_csv_and_parquet(
    service: Service, wanted: dict[str, list[dict[str, Any]]]
) -> None:
    query = f"{service.base}{COUNTS}?release={RELEASE}&stage=adult&limit=1000"

    comma_separated = pandas.read_csv(f"{query}&f=csv", keep_default_na=False, na_values="")
    parquet = pandas.read_parquet(f"{query}&f=parquet")

    adults = [row for row in wanted["counts"] if row["stage"] == "adult"]
    assert as_in_csv(comma_separated.to_dict("records")) == as_in_csv(adults)
    assert by_id(parquet.to_dict("records")) == by_id(adults)


def test_pandas_finds_types(service: Service) -> None:
    table = pandas.read_parquet(service.file("counts.parquet"), dtype_backend="pyarrow")

    kinds = {name: str(kind) for name, kind in table.dtypes.items()}
    assert kinds["sampled_first_on"].startswith("date32")
    assert kinds["number"] == "int64[pyarrow]", "a whole number although some are null"
    assert kinds["area_m2"] == "double[pyarrow]"
    assert kinds["sorted_to_end"] == "bool[pyarrow]"


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_polars_scans_parquet(
    service: Service, wanted: dict[str, list[dict[str, Any]]], collection: str
) -> None:
    table = polars.scan_parquet(service.file(f"{collection}.parquet")).collect()

    assert by_id(table.to_dicts()) == by_id(wanted[collection])
    assert table.schema["sampled_first_on"] == polars.Date
    assert table.schema["paired"] == polars.Boolean


def test_polars_scans_some_columns_and_rows_of_parquet(
    service: Service, wanted: dict[str, list[dict[str, Any]]]
) -> None:
    adults = polars.col("stage") == "adult"
    scan = polars.scan_parquet(service.file("counts.parquet"))

    found = scan.filter(adults).select("id", "number").collect()

    assert found.schema == {"id": polars.String, "number": polars.Int64}
    assert by_id(found.to_dicts()) == {
        row["id"]: {"id": row["id"], "number": row["number"]}
        for row in wanted["counts"]
        if row["stage"] == "adult"
    }


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_polars_scans_csv(
    service: Service, wanted: dict[str, list[dict[str, Any]]], collection: str
) -> None:
    address = service.file(f"{collection}.csv")
    scan = polars.scan_csv(address, infer_schema_length=None, try_parse_dates=True)

    table = scan.collect()

    assert table.schema["sampled_first_on"] == polars.Date
    assert as_in_csv(table.to_dicts()) == as_in_csv(wanted[collection])


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_pyarrow_reads_parquet_with_what_the_file_says_of_itself(
    service: Service, wanted: dict[str, list[dict[str, Any]]], collection: str
) -> None:
    content = service.download(service.file(f"{collection}.parquet"))

    table = pyarrow.parquet.read_table(io.BytesIO(content))

    said = service.json(f"/api/v1/releases/{RELEASE}")
    assert by_id(table.to_pylist()) == by_id(wanted[collection])
    assert table.schema.metadata[b"citation"].decode() == said["citation"]
    assert table.schema.metadata[b"licence"].decode() == said["license"]["id"]
    assert table.schema.field("sampled_first_on").type == pyarrow.date32()
    assert not table.schema.field("id").nullable


def test_duckdb_queries_a_downloaded_parquet_file(
    service: Service, wanted: dict[str, list[dict[str, Any]]], tmp_path: Path
) -> None:
    # Its http extension is downloaded when first used, so an address can't be tried offline.
    file = tmp_path / "counts.parquet"
    file.write_bytes(service.download(service.file("counts.parquet")))
    columns = [name for name in wanted["counts"][0] if name != "geometry"]
    listed = ", ".join(f'"{name}"' for name in columns)

    with duckdb.connect() as connection:
        rows = connection.execute(f"SELECT {listed} FROM '{file}'").fetchall()  # noqa: S608 -- ours
        (summed,) = connection.execute(
            f"SELECT count(*), count(number), sum(number) FROM '{file}'"  # noqa: S608 -- ours
        ).fetchall()

    numbers = [row["number"] for row in wanted["counts"]]
    known = [number for number in numbers if number is not None]
    assert summed == (len(numbers), len(known), sum(known))
    assert by_id(dict(zip(columns, row, strict=True)) for row in rows) == by_id(wanted["counts"])


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_geopandas_reads_geoparquet(
    service: Service, wanted: dict[str, list[dict[str, Any]]], collection: str
) -> None:
    content = service.download(service.file(f"{collection}.parquet"))

    frame = geopandas.read_parquet(io.BytesIO(content))

    assert frame.crs == "OGC:CRS84"  # GeoParquet 1.1: what a missing "crs" means
    assert by_id(frame.to_dict("records")) == by_id(wanted[collection])


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_geopandas_finds_the_cells_of_geojson_in_geoparquet(
    service: Service, collection: str
) -> None:
    query = f"/api/v1/{collection}?release={RELEASE}&limit=1000&f=geojson"
    features = service.json(query)["features"]
    content = service.download(service.file(f"{collection}.parquet"))

    frame = geopandas.read_parquet(io.BytesIO(content)).set_index("id")

    assert features
    assert all(
        frame.geometry[one["id"]].equals(shape(one["geometry"]))
        for one in features
        if one["geometry"]
    )
    assert set(frame.geometry[frame.geometry.isna()].index) == {
        one["id"] for one in features if one["geometry"] is None
    }


def test_geopandas_reads_geojson_from_its_address(
    service: Service, wanted: dict[str, list[dict[str, Any]]]
) -> None:
    address = f"{service.base}/api/v1/pits?release={RELEASE}&limit=1000&f=geojson"

    frame = geopandas.read_file(address)

    features = service.json(address.removeprefix(service.base))["features"]
    shapes = {one["id"]: shape(one["geometry"]) for one in features if one["geometry"]}
    assert frame.crs == "EPSG:4326"  # what RFC 7946 prescribes, as GDAL names it
    assert set(frame["id"]) == {row["id"] for row in wanted["pits"]}
    assert dict(zip(frame["id"], frame["found"], strict=True)) == {
        row["id"]: row["found"] for row in wanted["pits"]
    }
    assert all(
        shapes[row["id"]].equals(row.geometry) for _, row in frame.iterrows() if row.geometry
    )
