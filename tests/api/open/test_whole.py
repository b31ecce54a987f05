"""All rows of a query at once: a ready file, or a stream from one state of the data."""

import csv
import io
import json
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from api.open import formats
from portal.records import snapshot
from portal.records.models import PublishedPit, ReleaseFile
from portal.records.snapshot import ReadTooLongError, steady_rows
from tests.api.answers import bytes_of
from tests.factories.published import PublishedPitFactory, ReleaseFactory, SmallRelease
from tests.journeys.actors import Actor

COLLECTIONS = ("visits", "pits", "counts", "occurrences")


def ready_file(small: SmallRelease, name: str, build: int = 1, **columns: Any) -> None:
    ReleaseFile.objects.create(
        release=small.release,
        build=build,
        name=name,
        media_type="text/csv",
        size_bytes=1,
        sha256="0" * 64,
        built_at=timezone.now(),
        **columns,
    )


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_ndjson_streams_the_rows_of_json(reader: Actor, collection: str) -> None:
    rows = reader.rows(f"/api/v1/{collection}?season=spring&limit=5")

    answer = reader.get(f"/api/v1/{collection}?season=spring&limit=all&f=ndjson")

    assert answer.streaming
    assert answer.headers["Content-Type"] == "application/x-ndjson"
    assert [json.loads(line) for line in bytes_of(answer).splitlines()] == rows


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", COLLECTIONS)
def test_csv_streams_what_a_page_of_csv_holds(
    reader: Actor, collection: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = reader.get(f"/api/v1/{collection}?f=csv&limit=1000")
    monkeypatch.setattr(formats, "ROWS_AT_ONCE", 3)

    answer = reader.get(f"/api/v1/{collection}?f=csv&limit=all")

    assert answer.streaming
    assert bytes_of(answer) == page.content
    name = f"{collection}-release-1.csv"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{name}"'


@pytest.mark.django_db
def test_stream_holds_more_than_any_page(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    PublishedPit.objects.bulk_create(PublishedPitFactory.build_batch(2105))

    answer = reader.get("/api/v1/pits?limit=all&f=csv&fields=id&sort=-found")

    ids = [row["id"] for row in csv.DictReader(io.StringIO(bytes_of(answer).decode()))]
    assert len(ids) == len(set(ids)) == 2105


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("form", ["csv", "ndjson", "parquet"])
def test_stream_carries_what_every_answer_carries(reader: Actor, form: str) -> None:
    answer = reader.get(f"/api/v1/pits?limit=all&f={form}")

    bytes_of(answer)
    for relation in ("license", "cite-as", "describedby", "collection"):
        assert f'rel="{relation}"' in answer.headers["Link"]
    assert 'rel="next"' not in answer.headers["Link"]
    assert answer.headers["RateLimit"]
    held = {"If-None-Match": answer.headers["ETag"]}
    assert reader.get(f"/api/v1/pits?limit=all&f={form}", **held).status_code == 304


@pytest.mark.usefixtures("small")
def test_head_of_a_stream_reads_no_rows(reader: Actor, django_assert_max_num_queries: Any) -> None:
    with django_assert_max_num_queries(4):  # release, builds, ready file
        head = reader.client.head("/api/v1/pits?limit=all&f=csv&habitat=lawn")

    assert (head.status_code, head.headers["Content-Type"]) == (200, formats.CSV)
    assert not head.streaming


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("query", ["f=json", "f=geojson", "", "f=csv&cursor=x"])
def test_all_rows_are_refused_as_one_document_or_from_a_cursor(reader: Actor, query: str) -> None:
    answer = reader.get(f"/api/v1/pits?limit=all&{query}")

    assert answer.status_code == 400
    assert answer.json()["parameter"] == ("cursor" if "cursor" in query else "limit")


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_whole_table_is_a_ready_file(reader: Actor, small: SmallRelease, form: str) -> None:
    ready_file(small, f"pits.{form}", build=1, gone_at=timezone.now())
    ready_file(small, f"pits.{form}", build=2)

    answer = reader.get(f"/api/v1/pits?f={form}&limit=all")

    assert answer.status_code == 303
    assert answer.headers["Location"] == f"http://localhost:8000/files/1/2/pits.{form}"
    assert 'rel="license"' in answer.headers["Link"]


@pytest.mark.parametrize(
    "more", ["&habitat=lawn", "&fields=habitat", "&sort=-sampled_on", "&bom=true"]
)
def test_part_of_a_table_is_no_ready_file(reader: Actor, small: SmallRelease, more: str) -> None:
    ready_file(small, "pits.csv")

    answer = reader.get(f"/api/v1/pits?f=csv&limit=all{more}")

    assert answer.status_code == 200
    bytes_of(answer)


@pytest.mark.usefixtures("small")
def test_reading_stops_after_its_time(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter([0.0, 1.0, 4000.0])
    monkeypatch.setattr(snapshot, "monotonic", lambda: next(clock))
    rows = steady_rows(PublishedPit.objects.order_by("row"))

    next(rows)

    with pytest.raises(ReadTooLongError, match="3600 seconds"):
        next(rows)


@pytest.mark.django_db(transaction=True)
def test_reader_who_leaves_holds_nothing(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    PublishedPitFactory.create_batch(3)
    rows = steady_rows(PublishedPit.objects.order_by("row"))

    next(rows)
    was_held = connection.in_atomic_block
    rows.close()

    assert was_held is (connection.vendor == "postgresql")
    assert not connection.in_atomic_block
    assert reader.get("/api/v1/pits").status_code == 200


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="a limit of PostgreSQL servers")
def test_server_ends_a_transaction_whose_reader_waits(settings: Any) -> None:
    settings.STREAM_IDLE_SECONDS = 7
    PublishedPitFactory.create_batch(2)
    rows = steady_rows(PublishedPit.objects.order_by("row"))
    name = "SELECT current_setting('idle_in_transaction_session_timeout')"

    next(rows)
    with connection.cursor() as cursor:
        cursor.execute(name)
        assert cursor.fetchone() == ("7s",)
    rows.close()

    with connection.cursor() as cursor:
        cursor.execute(name)
        assert cursor.fetchone() != ("7s",), "the limit is that of the stream alone"


@pytest.mark.usefixtures("small")
def test_rows_written_while_reading_are_not_seen() -> None:
    rows = steady_rows(PublishedPit.objects.at(1).order_by("row"))
    first = next(rows)

    PublishedPit.objects.filter(row=first.row).update(habitat="bog")

    assert first.habitat != "bog"
    assert len([first, *rows]) == 4
