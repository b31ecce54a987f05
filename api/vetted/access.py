"""Researchers by the token of their grant, which opens nothing else."""

from dataclasses import dataclass
from typing import ClassVar

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from api.bearer import CHALLENGE, bearer_secret
from api.errors import Problem
from api.schema import BearerScheme
from surveys.grants.models import ResearchGrant
from surveys.grants.queries import grant_of


@dataclass(frozen=True)
class Caller:
    """The holder of a grant; not a person of Django's accounts."""

    grant: ResearchGrant
    is_authenticated: ClassVar[bool] = True


class GrantToken(BaseAuthentication):
    """Take the token of a grant in force."""

    def authenticate(self, request: Request) -> tuple[Caller, ResearchGrant] | None:
        """Return the caller, or nothing if no token was sent.

        Raises
        ------
        Problem
            If it is no grant's token, or the grant is not in force.
        """
        secret = bearer_secret(request)
        if secret is None:
            return None
        grant = grant_of(secret, timezone.now())
        if grant is None:
            code = "token-missing"
            raise Problem(code, "The token is no grant's, or the grant is not in force.")
        return Caller(grant), grant

    def authenticate_header(self, request: Request) -> str:
        """Return the challenge of a 401."""
        del request
        return CHALLENGE


class GrantScheme(BearerScheme):  # type: ignore[no-untyped-call]  # library
    """How the document names a grant's token."""

    target_class = "api.vetted.access.GrantToken"
    name = "grant"


class GrantHolder(BasePermission):
    """Let the holders of grants through."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether a grant's token was sent.

        Raises
        ------
        Problem
            If none was.
        """
        del view
        if not isinstance(request.auth, ResearchGrant):
            code = "token-missing"
            raise Problem(code)
        return True


def grant_in(request: Request) -> ResearchGrant:
    """Return the grant that the permission let through."""
    grant: object = request.auth
    assert isinstance(grant, ResearchGrant)  # noqa: S101 -- the permission saw to it
    return grant
