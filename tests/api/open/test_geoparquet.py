"""GeoParquet 1.1 (https://geoparquet.org/releases/v1.1.0/, from memory), read by pyarrow."""

import io
import json
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import shapely

from api.open import geoparquet
from api.open.rows import DICTIONARY
from tests.api.answers import bytes_of
from tests.factories.published import PublishedVisitFactory, SmallRelease, place_columns
from tests.journeys.actors import Actor

COLLECTIONS = ("visits", "pits", "counts", "occurrences")


def table_of(answer: Any) -> pa.Table:
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/vnd.apache.parquet"
    return pq.read_table(io.BytesIO(bytes_of(answer)))


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_table_holds_the_rows_of_json(reader: Actor, collection: str) -> None:
    rows = reader.get(f"/api/v1/{collection}").json()["data"]
    days = [field.name for field in DICTIONARY[collection] if field.type == "day"]

    table = table_of(reader.get(f"/api/v1/{collection}?f=parquet"))

    read = [
        {**row, **{day: row[day].isoformat() for day in days}}
        for row in table.drop_columns(["geometry"]).to_pylist()
    ]
    assert rows
    assert read == rows


@pytest.mark.usefixtures("small")
def test_geometry_is_well_known_binary_and_said_to_be(reader: Actor) -> None:
    PublishedVisitFactory.create(**place_columns("root"))

    table = table_of(reader.get("/api/v1/visits?f=parquet"))

    geo = json.loads(table.schema.metadata[b"geo"])
    assert geo["version"] == "1.1.0"
    assert geo["primary_column"] == "geometry"
    assert geo["columns"] == {"geometry": {"encoding": "WKB", "geometry_types": []}}
    for row in table.to_pylist():
        cell = shapely.from_wkb(row["geometry"])
        if row["latitude"] is None:
            assert cell is None
        else:
            assert cell.geom_type == "Polygon"
            assert cell.centroid.x == pytest.approx(row["longitude"])
            assert cell.centroid.y == pytest.approx(row["latitude"])
    assert table.column("geometry").null_count == 1


@pytest.mark.usefixtures("db")
def test_point_without_a_cell_is_a_point(reader: Actor, small: SmallRelease) -> None:
    type(small.visits[0]).objects.update(footprint_wkt="")

    table = table_of(reader.get("/api/v1/visits?f=parquet"))

    for row in table.to_pylist():
        point = shapely.from_wkb(row["geometry"])
        assert (point.x, point.y) == (row["longitude"], row["latitude"])


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_file_says_licence_citation_release_query_and_units(
    reader: Actor, small: SmallRelease, collection: str
) -> None:
    query = reader.get(f"/api/v1/{collection}?season=spring").json()["meta"]["query"]

    schema = table_of(reader.get(f"/api/v1/{collection}?season=spring&f=parquet")).schema

    assert schema.metadata[b"licence"] == b"CC-BY-4.0"
    assert schema.metadata[b"citation"].decode() == small.release.citation
    assert schema.metadata[b"release"] == b"1"
    assert schema.metadata[b"query"].decode() == query
    for field in DICTIONARY[collection]:
        said = schema.field(field.name).metadata
        assert said[b"description"].decode() == field.definition
        assert said.get(b"unit", b"").decode() == field.unit


@pytest.mark.usefixtures("small")
def test_columns_asked_for_are_those_of_the_file(reader: Actor) -> None:
    table = table_of(reader.get("/api/v1/pits?f=parquet&fields=habitat,area_m2"))

    assert table.column_names == ["id", "habitat", "area_m2", "geometry"]


@pytest.mark.usefixtures("small")
def test_large_answers_come_in_groups_of_rows(
    reader: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(geoparquet, "ROWS_AT_ONCE", 10)

    answer = reader.get("/api/v1/counts?f=parquet&limit=all")

    file = pq.ParquetFile(io.BytesIO(bytes_of(answer)))
    assert [file.metadata.row_group(n).num_rows for n in range(4)] == [10, 10, 10, 2]


@pytest.mark.usefixtures("small")
def test_no_rows_are_a_table_with_columns(reader: Actor) -> None:
    table = table_of(reader.get("/api/v1/pits?f=parquet&habitat=bog"))

    assert table.num_rows == 0
    assert "geometry" in table.column_names
