"""Limits of requests: by address on the open faces, by token on the others.

Each answer says what is left, in the header fields ``RateLimit-Policy`` and ``RateLimit`` of the
IETF draft (draft-ietf-httpapi-ratelimit-headers-10, parameter form).
"""

from dataclasses import dataclass
from math import ceil

from django.conf import settings
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView

_LIMITS = "rate_limits"  # attribute of a request


@dataclass(frozen=True)
class Limit:
    """A limit as a request found it."""

    name: str
    quota: int
    window_s: int
    remaining: int
    reset_s: int


class OpenThrottle(SimpleRateThrottle):
    """So many requests a minute for one client address."""

    # Set by the library from the rate.
    num_requests: int
    duration: int

    scope = "open"
    cache_format = "throttle-%(scope)s-%(ident)s"

    def get_rate(self) -> str:
        """Return the configured limit."""
        return f"{settings.OPEN_REQUESTS_PER_MINUTE}/min"

    def get_cache_key(self, request: Request, view: APIView) -> str:
        """Return the key of the client's address, as far as our own proxies vouch for it."""
        del view
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}

    def allow_request(self, request: Request, view: APIView) -> bool:
        """Return whether the request is within the limit, and note what is left of it."""
        allowed: bool = super().allow_request(request, view)
        oldest = self.history[-1] if self.history else self.now
        limit = Limit(
            name=self.scope,
            quota=self.num_requests,
            window_s=self.duration,
            remaining=max(0, self.num_requests - len(self.history)),
            reset_s=ceil(max(0.0, self.duration - (self.now - oldest))),
        )
        plain = request._request  # noqa: SLF001 -- DRF's way to Django's request
        setattr(plain, _LIMITS, [*getattr(plain, _LIMITS, []), limit])
        return allowed


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


def tell_limits(request: HttpRequest, response: HttpResponseBase) -> None:
    """Write the limits that a request was counted against into its answer."""
    limits: list[Limit] = getattr(request, _LIMITS, [])
    if not limits:
        return
    response["RateLimit-Policy"] = ", ".join(
        f'"{limit.name}";q={limit.quota};w={limit.window_s}' for limit in limits
    )
    response["RateLimit"] = ", ".join(
        f'"{limit.name}";r={limit.remaining};t={limit.reset_s}' for limit in limits
    )
