"""Who calls: a group or a reviewer, by bearer token."""

from dataclasses import dataclass
from typing import ClassVar

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from api.bearer import CHALLENGE, bearer_secret
from api.errors import Problem
from api.permissions import lacks_method
from surveys.people.models import AccessToken
from surveys.people.operations import use_token


@dataclass(frozen=True)
class Caller:
    """The holder of a token; not a person of Django's accounts."""

    token: AccessToken
    is_authenticated: ClassVar[bool] = True


class BearerToken(BaseAuthentication):
    """Take ``Authorization: Bearer ...``; tokens in addresses are not read."""

    def authenticate(self, request: Request) -> tuple[Caller, AccessToken] | None:
        """Return the caller, or nothing if no token was sent.

        Raises
        ------
        Problem
            If the token is unknown, expired or revoked.
        """
        secret = bearer_secret(request)
        if secret is None:
            return None
        token = use_token(secret=secret, at=timezone.now())
        if token is None:
            code = "token-missing"
            raise Problem(code, "The token is unknown, expired or revoked.")
        return Caller(token), token

    def authenticate_header(self, request: Request) -> str:
        """Return the challenge of a 401."""
        del request
        return CHALLENGE


class HasScope(BasePermission):
    """Let through tokens of the right holder with the scope that the view names."""

    holder: ClassVar[str] = "group"

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether the token fits.

        Raises
        ------
        Problem
            If there is no token, or it lacks the scope.
        """
        token: object = request.auth
        code = "token-missing"
        if not isinstance(token, AccessToken):
            raise Problem(code)
        scope = getattr(view, "scopes", {}).get(request.method)
        code = "scope-missing"
        if getattr(token, self.holder) is None:
            raise Problem(code, f"This address is for a {self.holder}'s token.")
        if scope not in token.scopes and not lacks_method(view, request):
            raise Problem(code, f"This needs a token with the scope {scope!r}.")
        return True


class GroupScope(HasScope):
    """For partner groups; a token for practice opens only what a view lets be practised."""

    holder = "group"

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether the token fits.

        Raises
        ------
        Problem
            If there is no token, it lacks the scope, or it is for practice only.
        """
        fits = super().has_permission(request, view)
        group = token_of(request).group
        if group and group.practice_of_id and not getattr(view, "practises", False):
            code = "practice-only"
            raise Problem(code)
        return fits


class ReviewerScope(HasScope):
    """For reviewers and stewards."""

    holder = "reviewer"


def token_of(request: Request) -> AccessToken:
    """Return the token that a permission of this module let through."""
    token: object = request.auth
    assert isinstance(token, AccessToken)  # noqa: S101 -- the permission saw to it
    return token
