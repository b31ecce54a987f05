"""Numbers for answers: decimals would be written as text."""

from decimal import Decimal
from typing import Any


def with_numbers(value: Any) -> Any:
    """Return nested values with a number in place of each decimal."""
    if isinstance(value, dict):
        return {name: with_numbers(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [with_numbers(one) for one in value]
    return float(value) if isinstance(value, Decimal) else value
