"""A release as flat tables, read back with other libraries and beside the API's own rows."""

import csv
import io
import json
from datetime import date

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import shapely

from portal.archive import flat_tables
from portal.archive.edition import edition_of
from portal.archive.flat_tables import write_csv, write_parquet
from portal.records.fields import FIELDS
from portal.records.models import Release
from portal.records.queries import TABLES
from tests.factories.published import (
    PublishedPitFactory,
    PublishedVisitFactory,
    ReleaseFactory,
    small_release,
)
from tests.journeys.actors import Actor

pytestmark = pytest.mark.django_db


def parquet(release: Release, collection: str) -> bytes:
    target = io.BytesIO()
    write_parquet(edition_of(release), collection, target)
    return target.getvalue()


def table(release: Release, collection: str) -> pa.Table:
    return pq.read_table(io.BytesIO(parquet(release, collection)))


def text(release: Release, collection: str) -> str:
    target = io.BytesIO()
    write_csv(edition_of(release), collection, target)
    return target.getvalue().decode()


@pytest.mark.parametrize("collection", TABLES)
def test_parquet_holds_the_rows_of_the_api(collection: str) -> None:
    small = small_release()
    days = {field.name for field in FIELDS[collection] if field.type == "day"}

    rows = table(small.release, collection).to_pylist()

    served = Actor().rows(f"/api/v1/{collection}?limit=1000")
    written = [row | {name: row[name].isoformat() for name in days} for row in rows]
    assert all(shapely.from_wkb(row.pop("geometry")).area > 0 for row in written)
    assert sorted(written, key=lambda row: row["id"]) == sorted(served, key=lambda row: row["id"])
    assert len(rows) > 1


@pytest.mark.parametrize("collection", TABLES)
def test_csv_holds_the_lines_of_the_api(collection: str) -> None:
    small = small_release()

    head, *lines = text(small.release, collection).splitlines()

    served = Actor().client.get(f"/api/v1/{collection}", {"f": "csv", "limit": "1000"})
    served_head, *served_lines = served.content.decode().splitlines()
    assert head == served_head
    assert sorted(lines) == sorted(served_lines)


def test_parquet_has_a_type_for_each_kind_of_field() -> None:
    schema = table(small_release().release, "counts").schema

    types = {name: str(schema.field(name).type) for name in schema.names}
    assert types["id"] == types["habitat"] == types["sampled_on"] == "string"
    assert types["sampled_first_on"] == "date32[day]"
    assert types["management"] == "list<element: string>"
    assert types["number"] == "int64"
    assert types["area_m2"] == types["latitude"] == "double"
    assert types["effort_known"] == "bool"


def test_parquet_says_unit_and_meaning_of_each_column() -> None:
    schema = table(small_release().release, "counts").schema

    for field in FIELDS["counts"]:
        said = schema.field(field.name).metadata
        assert said[b"description"].decode() == field.definition
        assert said.get(b"unit", b"").decode() == field.unit
        assert schema.field(field.name).nullable is bool(field.null_means)
    assert schema.field("area_m2").metadata[b"unit"] == b"m2"
    assert schema.field("number").metadata[b"null_means"] == b"see state"


def test_parquet_says_release_licence_and_citation_of_the_whole() -> None:
    small = small_release()

    said = table(small.release, "visits").schema.metadata

    assert said[b"release"] == b"1"
    assert said[b"issued_at"] == b"2025-06-30T09:00:00Z"
    assert said[b"licence"] == b"CC-BY-4.0"
    assert said[b"licence_url"] == small.release.licence_url.encode()
    assert said[b"citation"] == small.release.citation.encode()
    kits = json.loads(said[b"comparable_kits"])
    assert kits["contrast-pit/2"] == "contrast-pit/1 + contrast-pit/2"
    assert kits["school-pit/1"] == "school-pit/1"


def test_pandas_reads_days_truth_lists_and_null() -> None:
    small = small_release()
    PublishedPitFactory.create(management=None, management_state="not_known", paired=False)
    PublishedPitFactory.create(management=[], colour=None)

    frame = pd.read_parquet(io.BytesIO(parquet(small.release, "pits")))

    by_state = frame.set_index("management_state")
    assert by_state.loc["not_known"].management is None
    assert sorted(len(words) for words in by_state.loc["listed"].management) == [0, 1, 1, 1, 1]
    assert set(frame.sampled_first_on) == {date(2025, 3, 1), date(2025, 3, 15)}
    assert frame.paired.dtype == bool
    assert frame.paired.sum() == 5
    assert frame.people_digging.isna().sum() == 2  # the school's pits
    assert frame.colour.isna().sum() == 1


@pytest.mark.parametrize("collection", TABLES)
def test_same_rows_give_the_same_bytes(collection: str) -> None:
    small = small_release()

    assert parquet(small.release, collection) == parquet(small.release, collection)
    assert text(small.release, collection) == text(small.release, collection)


def test_large_tables_are_written_in_groups_of_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    small = small_release()
    monkeypatch.setattr(flat_tables, "ROWS_OF_A_GROUP", 3)

    file = pq.ParquetFile(io.BytesIO(parquet(small.release, "pits")))

    assert [file.metadata.row_group(n).num_rows for n in range(file.num_row_groups)] == [3, 1]


def test_tables_keep_to_the_rows_of_their_release() -> None:
    small = small_release()
    ReleaseFactory.create(number=2)
    PublishedVisitFactory.create(since_release=2)
    PublishedVisitFactory.create(hidden=True)

    assert table(small.release, "visits").num_rows == 2
    assert len(text(small.release, "visits").splitlines()) == 1 + 2


def test_empty_release_gives_tables_without_rows() -> None:
    release = ReleaseFactory.create(number=1)

    assert table(release, "counts").num_rows == 0
    (head,) = csv.reader(io.StringIO(text(release, "counts")))
    assert head == [field.name for field in FIELDS["counts"]]


def test_null_in_a_column_that_says_it_has_none_is_not_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    release = ReleaseFactory.create(number=1)
    row = {**dict.fromkeys(field.name for field in FIELDS["visits"]), "footprint_wkt": ""}
    monkeypatch.setattr(flat_tables, "is_copied", lambda: False)
    monkeypatch.setattr(flat_tables, "_told", lambda _edition, _collection: iter([row]))

    with pytest.raises(pa.ArrowInvalid, match="non-nullable"):
        parquet(release, "visits")
