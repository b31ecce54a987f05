"""What a release covers in space, time and taxa, computed from its rows alone."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max, Min

from portal.archive.edition import Edition
from portal.archive.taxa import Identification
from portal.records.models import PublishedCount, PublishedVisit, Release

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
Point = tuple[Decimal, Decimal]


@dataclass(frozen=True)
class Box:
    """The smallest box around all published cells, in decimal degrees."""

    west: Decimal
    south: Decimal
    east: Decimal
    north: Decimal


@dataclass(frozen=True)
class Extent:
    """Box, first and last day; nothing where no row says so."""

    box: Box | None
    first_on: date | None
    last_on: date | None


@dataclass(frozen=True)
class Coverage:
    """Box, first and last day, and names; nothing where no row says so."""

    box: Box | None
    first_on: date | None
    last_on: date | None
    taxa: tuple[Identification, ...]


def coverage_of(edition: Edition) -> Coverage:
    """Return what the rows of a release cover."""
    extent = extent_of(edition.release)
    return Coverage(extent.box, extent.first_on, extent.last_on, _taxa(edition))


def extent_of(release: Release) -> Extent:
    """Return what the rows of a release cover in space and time."""
    visits = PublishedVisit.objects.at(release.number)
    days = visits.aggregate(first=Min("sampled_first_on"), last=Max("sampled_last_on"))
    return Extent(_box(_corners(release)), days["first"], days["last"])


def _corners(release: Release) -> Iterator[Point]:
    """Yield the corners (longitude, latitude) of every cell, or the points shown exactly."""
    places = (
        PublishedVisit.objects.at(release.number)
        .filter(cell_level__gt=0, latitude__isnull=False)
        .values_list("footprint_wkt", "longitude", "latitude")
        .distinct()
    )
    for outline, longitude, latitude in places.iterator():
        if not outline:
            yield Decimal(repr(longitude)), Decimal(repr(latitude))
        numbers = [Decimal(number) for number in _NUMBER.findall(outline)]
        yield from zip(numbers[::2], numbers[1::2], strict=True)


def _box(corners: Iterable[Point]) -> Box | None:
    box = None
    for east, north in corners:
        known = box or Box(east, north, east, north)
        box = Box(
            min(known.west, east),
            min(known.south, north),
            max(known.east, east),
            max(known.north, north),
        )
    return box


def _taxa(edition: Edition) -> tuple[Identification, ...]:
    """Return the names that stand in occurrences: what was found, and what was absent."""
    rows = PublishedCount.objects.at(edition.release.number)
    names = (
        rows.filter(occurrence_status__isnull=False)
        .values_list("protocol", "taxon", "coarse_taxon")
        .distinct()
    )
    found = {edition.identification(*name) for name in names}
    return tuple(sorted(found, key=lambda identification: identification.name))
