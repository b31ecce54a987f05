"""What every view for harvesters has."""

from datetime import UTC, datetime
from typing import Any

from rest_framework.views import APIView

from api.errors import Problem
from api.permissions import Open
from api.throttling import OpenThrottle
from portal.records.models import Release, Tombstone


class HarvestView(APIView):
    """Readable by everybody, within the limit of requests."""

    permission_classes = [Open]
    throttle_classes = [OpenThrottle]


def release_of(number: int) -> Release:
    """Return a release.

    Raises
    ------
    Problem
        If there is no such release.
    """
    release = Release.objects.filter(number=number).first()
    if release is None:
        code = "not-found"
        raise Problem(code, "There is no such release.")
    return release


def tombstone(stone: Tombstone) -> dict[str, Any]:
    """Return all that is told of a withdrawn record."""
    return {
        "id": str(stone.id),
        "kind": stone.kind,
        "withdrawn_on": stone.withdrawn_on.isoformat(),
        "reason_class": stone.reason_class,
    }


def instant(at: datetime) -> str:
    """Return an instant in UTC as RFC 3339 writes it."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
