"""What every test of the API runs with."""

import pytest
from django.core.cache import cache


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    cache.clear()
