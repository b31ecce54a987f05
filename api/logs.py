"""What the log tells of an error: its classes and where it arose, never its words.

The message of a database error quotes the row that broke a constraint, so it would write people
and places into the log; the name of the constraint is enough to find the cause.
"""

import logging
import traceback
from collections.abc import Iterator


class HideWords(logging.Filter):
    """Write an error with its traceback, without its messages."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record through; handlers take the text of the error that is found here."""
        if record.exc_info and record.exc_info[1] is not None:
            record.exc_text = "".join(_told(record.exc_info[1])).rstrip("\n")
        return True


def _told(error: BaseException) -> Iterator[str]:
    """Yield an error, what caused it first, as Python does but for the messages."""
    cause = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if cause is not None:
        yield from _told(cause)
        yield "\nThen:\n"
    yield "Traceback (most recent call last):\n"
    yield from traceback.format_tb(error.__traceback__)
    yield f"{type(error).__module__}.{type(error).__qualname__}{_constraint(error)}\n"


def _constraint(error: BaseException) -> str:
    """Return the name of the constraint that PostgreSQL tells beside the message, if any."""
    name = getattr(getattr(error, "diag", None), "constraint_name", None)
    return f" ({name})" if name else ""
