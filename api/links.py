"""Absolute addresses on the configured public base, never on the Host header."""

from django.conf import settings


def address(path: str) -> str:
    """Return the absolute address of a path."""
    return f"{settings.PUBLIC_URL}{path}"
