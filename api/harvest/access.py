"""Harvesters by their own tokens, which open nothing else."""

from dataclasses import dataclass
from typing import ClassVar

from django.conf import settings
from rest_framework.authentication import BaseAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from api.bearer import CHALLENGE, bearer_secret
from api.errors import Problem
from api.schema import BearerScheme
from api.throttling import OpenThrottle
from portal.harvesters.models import Harvester
from portal.harvesters.queries import harvester_of


@dataclass(frozen=True)
class Caller:
    """The holder of a token; not a person of Django's accounts."""

    harvester: Harvester
    is_authenticated: ClassVar[bool] = True


class HarvesterToken(BaseAuthentication):
    """Take the token of a harvester."""

    def authenticate(self, request: Request) -> tuple[Caller, Harvester] | None:
        """Return the caller, or nothing if no token was sent.

        Raises
        ------
        Problem
            If it is no harvester's token, or no longer.
        """
        secret = bearer_secret(request)
        if secret is None:
            return None
        harvester = harvester_of(secret)
        if harvester is None:
            code = "token-missing"
            raise Problem(code, "The token is no harvester's, or was given up.")
        return Caller(harvester), harvester

    def authenticate_header(self, request: Request) -> str:
        """Return the challenge of a 401."""
        del request
        return CHALLENGE


class HarvesterScheme(BearerScheme):  # type: ignore[no-untyped-call]  # library
    """How the document names a harvester's token."""

    target_class = "api.harvest.access.HarvesterToken"
    name = "harvester"


class HarvesterOnly(BasePermission):
    """Let harvesters through."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether a harvester calls.

        Raises
        ------
        Problem
            If no token was sent.
        """
        del view
        if not isinstance(request.auth, Harvester):
            code = "token-missing"
            raise Problem(code)
        return True


class RegistrationThrottle(OpenThrottle):
    """So many registrations an hour from one client address."""

    scope = "harvester-registration"

    def get_rate(self) -> str:
        """Return the configured limit."""
        return f"{settings.HARVESTER_REGISTRATIONS_PER_HOUR}/hour"
