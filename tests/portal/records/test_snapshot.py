"""Streams of what a server wrote end: when read, when closed, when too slow, when left alone."""

from collections.abc import Generator
from time import monotonic, sleep
from typing import Any

import psycopg
import pytest
from django.db import OperationalError, connection

from portal.records import snapshot
from portal.records.models import PublishedVisit
from portal.records.snapshot import ReadTooLongError, copied_lines, steady_parts
from tests.factories.published import PublishedVisitFactory

pytestmark = pytest.mark.skipif(connection.vendor != "postgresql", reason="COPY is PostgreSQL's")
WAIT_S = 10
SERVER = ("dbname", "user", "host", "port")


@pytest.fixture
def large(transactional_db: None) -> None:  # noqa: ARG001 -- commits are needed
    """Make more than the buffers between server and reader hold."""
    PublishedVisit.objects.bulk_create(
        PublishedVisitFactory.build_batch(1500, remarks="x" * 20_000)
    )


def parts() -> Generator[bytes]:
    for lines in copied_lines(PublishedVisit.objects.order_by("row").values_list("id", "remarks")):
        yield b"\n".join(lines)


def is_held() -> bool:
    """Ask the server, over another connection, whether ours holds a transaction."""
    mine = connection.get_connection_params()
    with psycopg.connect(**{name: mine[name] for name in SERVER}) as other:
        found = other.execute(
            "SELECT 1 FROM pg_stat_activity WHERE datname = current_database() "
            "AND xact_start IS NOT NULL AND pid <> pg_backend_pid()"
        )
        return found.fetchone() is not None


@pytest.mark.usefixtures("large")
def test_reader_who_stays_away_loses_the_connection(settings: Any) -> None:
    settings.STREAM_IDLE_SECONDS = 1
    stream = steady_parts(parts())
    next(stream)
    assert is_held()

    end = monotonic() + WAIT_S
    while is_held() and monotonic() < end:
        sleep(0.1)

    assert not is_held()
    with pytest.raises((OperationalError, psycopg.OperationalError)):
        next(stream)
    assert PublishedVisit.objects.count() == 1500, "the next request has a connection"


@pytest.mark.usefixtures("large")
def test_reader_who_leaves_holds_nothing() -> None:
    stream = steady_parts(parts())
    next(stream)

    stream.close()

    assert not connection.in_atomic_block
    assert not is_held()


@pytest.mark.usefixtures("large")
def test_rows_that_change_meanwhile_are_read_as_they_were() -> None:
    stream = steady_parts(parts())
    first = next(stream)

    mine = connection.get_connection_params()
    with psycopg.connect(**{name: mine[name] for name in SERVER}) as other:
        other.execute("UPDATE portal_publishedvisit SET remarks = 'changed'")
    read = b"\n".join([first, *stream])

    assert len(read.splitlines()) == 1500
    assert b"changed" not in read


@pytest.mark.django_db
def test_reading_stops_after_its_time(monkeypatch: pytest.MonkeyPatch) -> None:
    PublishedVisitFactory.create_batch(2)
    clock = iter([0.0, 4000.0])
    monkeypatch.setattr(snapshot, "monotonic", lambda: next(clock))

    with pytest.raises(ReadTooLongError, match="3600 seconds"):
        next(steady_parts(parts()))
