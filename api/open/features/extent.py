"""What is computed of a whole release, and remembered for a while because a release stands."""

from collections.abc import Callable
from typing import Any, TypeVar, cast

from django.core.cache import cache

from api.open.answers import entity_tag
from portal.archive.coverage import extent_of
from portal.records.models import Release

CRS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
GREGORIAN = "http://www.opengis.net/def/uom/ISO-8601/0/Gregorian"
_REMEMBERED_S = 300
ValueT = TypeVar("ValueT")


def remembered(release: Release, what: str, compute: Callable[[], ValueT]) -> ValueT:
    """Return what was computed of this very state of a release."""
    key = f"features-{entity_tag(release, what)}".replace('"', "")
    return cast("ValueT", cache.get_or_set(key, compute, _REMEMBERED_S))


def extent(release: Release) -> dict[str, Any]:
    """Return the box around all published cells, and the first and the last day."""
    return remembered(release, "extent", lambda: _extent(release))


def _extent(release: Release) -> dict[str, Any]:
    found = extent_of(release)
    told: dict[str, Any] = {}
    if found.box is not None:
        box = found.box
        edges = [float(edge) for edge in (box.west, box.south, box.east, box.north)]
        told["spatial"] = {"bbox": [edges], "crs": CRS84}
    if found.first_on is not None:
        interval = [f"{found.first_on}T00:00:00Z", f"{found.last_on}T23:59:59Z"]
        told["temporal"] = {"interval": [interval], "trs": GREGORIAN}
    return told
