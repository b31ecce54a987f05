"""Read many rows from one state of the data, in constant memory and bounded time."""

from collections.abc import Generator, Iterator
from contextlib import contextmanager
from time import monotonic
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.db.models import QuerySet

_FETCHED_AT_ONCE = 2_000
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
            if monotonic() > deadline:
                message = f"A stream may take {settings.STREAM_SECONDS} seconds."
                raise ReadTooLongError(message)
            yield row


@contextmanager
def _cursor_on_server() -> Iterator[None]:
    """Keep the rows on a PostgreSQL server, which needs a transaction, until they are fetched.

    The server itself ends a transaction that waits for a reader who reads no more: our own code
    does not run while it waits. On SQLite a transaction would keep writers out, and is not needed.
    """
    if connection.vendor != "postgresql":
        yield
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            limit_ms = str(settings.STREAM_IDLE_SECONDS * _MS_PER_S)
            name = "idle_in_transaction_session_timeout"
            cursor.execute("SELECT set_config(%s, %s, true)", [name, limit_ms])
        yield
