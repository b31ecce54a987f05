"""Limits of requests: by address on the open faces, by token on the others."""

from django.conf import settings
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView


class OpenThrottle(SimpleRateThrottle):
    """So many requests a minute for one client address."""

    scope = "open"
    cache_format = "throttle-%(scope)s-%(ident)s"

    def get_rate(self) -> str:
        """Return the configured limit."""
        return f"{settings.OPEN_REQUESTS_PER_MINUTE}/min"

    def get_cache_key(self, request: Request, view: APIView) -> str:
        """Return the key of the client's address, as far as our own proxies vouch for it."""
        del view
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}


class TokenThrottle(OpenThrottle):
    """So many requests a minute for one token; without a token, for one address."""

    scope = "token"

    def get_rate(self) -> str:
        """Return the configured limit."""
        return f"{settings.PARTNER_REQUESTS_PER_MINUTE}/min"

    def get_cache_key(self, request: Request, view: APIView) -> str:
        """Return the key of the token, or of the address if none is known."""
        prefix = getattr(request.auth, "prefix", None)
        if prefix is None:
            return super().get_cache_key(request, view)
        return self.cache_format % {"scope": self.scope, "ident": prefix}
