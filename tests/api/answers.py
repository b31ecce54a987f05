"""Read whole answers."""

from typing import Any


def bytes_of(answer: Any) -> bytes:
    """Return all bytes of an answer; a file is thereby closed as a server would close it.

    ``answer.close()`` is not the same: it ends the request, and the database connection with it.
    """
    return b"".join(answer.streaming_content) if answer.streaming else bytes(answer.content)
