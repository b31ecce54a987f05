"""Read many rows from one state of the data, in constant memory and bounded time."""

from collections.abc import Generator, Iterator
from contextlib import closing, contextmanager
from itertools import islice
from threading import Timer
from time import monotonic
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.db.models import QuerySet

_FETCHED_AT_ONCE = 2_000
_LINES_OF_A_PART = 1_000
_MS_PER_S = 1000


class ReadTooLongError(RuntimeError):
    """A reader took longer than a stream may."""


def steady_rows(rows: QuerySet[Any]) -> Generator[Any]:
    """Yield rows as they all stood when the first was read; closing it ends the reading.

    They come by one statement, and a statement sees one state on SQLite as on PostgreSQL.

    Raises
    ------
    ReadTooLongError
        If the whole takes longer than the setting allows.
    """
    deadline = monotonic() + settings.STREAM_SECONDS
    with _cursor_on_server():
        for row in rows.iterator(chunk_size=_FETCHED_AT_ONCE):
            _require_before(deadline)
            yield row


def copied_lines(rows: QuerySet[Any]) -> Generator[list[bytes]]:
    """Yield the chosen columns of rows as lines of CSV that a PostgreSQL server wrote, in parts.

    They come by one statement. Lines have no end; null is an empty cell, the empty text ``""``.

    Parameters
    ----------
    rows : QuerySet
        Rows as lists of values.
    """
    query, values = rows.query.sql_with_params()
    copying = f"COPY ({query}) TO STDOUT (FORMAT csv)"
    with connection.cursor() as cursor, cursor.copy(copying, values) as copy:
        lines = (bytes(line[:-1]) for line in copy)  # the protocol sends each line by itself
        while part := list(islice(lines, _LINES_OF_A_PART)):
            yield part


def steady_parts(parts: Generator[bytes]) -> Generator[bytes]:
    """Yield what is made of copied lines, in bounded time; closing it ends the reading.

    A server that waits to send its lines sees no limit of its own, so the connection is ended
    when the reader stays away.

    Raises
    ------
    ReadTooLongError
        If the whole takes longer than the setting allows.
    """
    deadline = monotonic() + settings.STREAM_SECONDS
    with _cursor_on_server(), closing(parts):
        for part in parts:
            _require_before(deadline)
            with _ended_unless_read():
                yield part


def _require_before(deadline: float) -> None:
    """Refuse to go on too late.

    Raises
    ------
    ReadTooLongError
        If it is.
    """
    if monotonic() > deadline:
        message = f"A stream may take {settings.STREAM_SECONDS} seconds."
        raise ReadTooLongError(message)


@contextmanager
def _cursor_on_server() -> Iterator[None]:
    """Keep the rows on a PostgreSQL server, which needs a transaction, until they are fetched.

    The server itself ends a transaction that waits for a reader who reads no more: our own code
    does not run while it waits. On SQLite a transaction would keep writers out, and is not needed.
    A statement may take as long as the stream: to sort a whole table takes longer than a page.
    """
    if connection.vendor != "postgresql":
        yield
        return
    limits_s = {
        "idle_in_transaction_session_timeout": settings.STREAM_IDLE_SECONDS,
        "statement_timeout": settings.STREAM_SECONDS,
    }
    with transaction.atomic():
        with connection.cursor() as cursor:
            for name, limit_s in limits_s.items():
                value = str(limit_s * _MS_PER_S)
                cursor.execute("SELECT set_config(%s, %s, true)", [name, value])
        yield


@contextmanager
def _ended_unless_read() -> Iterator[None]:
    """End the connection to the server if the reader does not come back in time."""
    watch = Timer(settings.STREAM_IDLE_SECONDS, connection.connection.close)
    watch.daemon = True
    watch.start()
    try:
        yield
    finally:
        watch.cancel()
        watch.join()  # never while the connection is used again
