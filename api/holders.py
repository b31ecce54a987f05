"""Holders of a token for one thing only: a harvester, or a researcher with a grant."""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar

from django.db.models import Model
from rest_framework.authentication import BaseAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from api.bearer import CHALLENGE, bearer_secret
from api.errors import Problem


@dataclass(frozen=True)
class Caller:
    """The holder of a token; not a person of Django's accounts."""

    holder: Model
    is_authenticated: ClassVar[bool] = True


class HolderToken(BaseAuthentication, ABC):
    """Take the token of a holder."""

    refusal: ClassVar[str]  # what is said of a token that is nobody's

    @abstractmethod
    def holder_of(self, secret: str) -> Model | None:
        """Return whose token it is, if it is in force."""

    def authenticate(self, request: Request) -> tuple[Caller, Model] | None:
        """Return the caller, or nothing if no token was sent.

        Raises
        ------
        Problem
            If it is nobody's token, or no longer.
        """
        secret = bearer_secret(request)
        if secret is None:
            return None
        holder = self.holder_of(secret)
        if holder is None:
            code = "token-missing"
            raise Problem(code, self.refusal)
        return Caller(holder), holder

    def authenticate_header(self, request: Request) -> str:
        """Return the challenge of a 401."""
        del request
        return CHALLENGE


class HolderOnly(BasePermission):
    """Let holders of one kind through."""

    kind: ClassVar[type[Model]]

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether such a holder calls.

        Raises
        ------
        Problem
            If no token was sent.
        """
        del view
        if not isinstance(request.auth, self.kind):
            code = "token-missing"
            raise Problem(code)
        return True
