"""What a whole test module shares instead of making it for each test."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import transaction
from django.test import override_settings


@contextmanager
def undone_at_the_end(**settings: object) -> Iterator[None]:
    """Hold settings, and undo what was written, so that the next module finds nothing."""
    with override_settings(**settings), transaction.atomic():
        yield
        transaction.set_rollback(True)
