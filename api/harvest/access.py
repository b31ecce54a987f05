"""Harvesters by their own tokens, which open nothing else."""

from django.conf import settings

from api.holders import HolderOnly, HolderToken
from api.schema import BearerScheme
from api.throttling import OpenThrottle
from portal.harvesters.models import Harvester
from portal.harvesters.queries import harvester_of


class HarvesterToken(HolderToken):
    """Take the token of a harvester."""

    refusal = "The token is no harvester's, or was given up."

    def holder_of(self, secret: str) -> Harvester | None:
        """Return the harvester of a token."""
        return harvester_of(secret)


class HarvesterScheme(BearerScheme):  # type: ignore[no-untyped-call]  # library
    """How the document names a harvester's token."""

    target_class = "api.harvest.access.HarvesterToken"
    name = "harvester"


class HarvesterOnly(HolderOnly):
    """Let harvesters through."""

    kind = Harvester


class RegistrationThrottle(OpenThrottle):
    """So many registrations an hour from one client address."""

    scope = "harvester-registration"

    def get_rate(self) -> str:
        """Return the configured limit."""
        return f"{settings.HARVESTER_REGISTRATIONS_PER_HOUR}/hour"
