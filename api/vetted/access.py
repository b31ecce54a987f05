"""Researchers by the token of their grant, which opens nothing else."""

from django.utils import timezone
from rest_framework.request import Request

from api.holders import HolderOnly, HolderToken
from api.schema import BearerScheme
from surveys.grants.models import ResearchGrant
from surveys.grants.queries import grant_of


class GrantToken(HolderToken):
    """Take the token of a grant in force."""

    refusal = "The token is no grant's, or the grant is not in force."

    def holder_of(self, secret: str) -> ResearchGrant | None:
        """Return the grant of a token, if it is in force."""
        return grant_of(secret, timezone.now())


class GrantScheme(BearerScheme):  # type: ignore[no-untyped-call]  # library
    """How the document names a grant's token."""

    target_class = "api.vetted.access.GrantToken"
    name = "grant"


class GrantHolder(HolderOnly):
    """Let the holders of grants through."""

    kind = ResearchGrant


def grant_in(request: Request) -> ResearchGrant:
    """Return the grant that the permission let through."""
    grant: object = request.auth
    assert isinstance(grant, ResearchGrant)  # noqa: S101 -- the permission saw to it
    return grant
