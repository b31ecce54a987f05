"""Count wrong links by client address, and stop answering who tries too many."""

from django.core.cache import cache
from django.http import HttpRequest
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

WRONG_LINKS_ALLOWED = 20
WINDOW_S = 600


def tried_too_many(request: HttpRequest) -> bool:
    """Tell whether this client's wrong links are used up for now."""
    tried: int = cache.get(_key(request), 0)
    return tried >= WRONG_LINKS_ALLOWED


def note_wrong_link(request: HttpRequest) -> None:
    """Count one more wrong link of this client."""
    key = _key(request)
    if not cache.add(key, 1, WINDOW_S):
        cache.incr(key)


def _key(request: HttpRequest) -> str:
    # The client's address, as far as our own proxies vouch for it.
    return f"wrong-personal-links-{BaseThrottle().get_ident(Request(request))}"
