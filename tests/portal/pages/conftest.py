"""Somebody who looks at pages."""

import pytest
from django.core.cache import cache
from django.test import Client


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    cache.clear()


@pytest.fixture
def visitor() -> Client:
    """Return somebody with a browser."""
    return Client(headers={"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"})
