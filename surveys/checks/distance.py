"""Distances on the ground for checks: metres, on a sphere, good to about half a percent.

Mean radius of the earth: 6 371 008.8 m (Moritz 2000, Geodetic Reference System 1980, Journal
of Geodesy 74: 128-133). A plane approximation is enough below some kilometres.
"""

import math
from decimal import Decimal

from surveys.visits.facts import Box

EARTH_RADIUS_M = 6_371_008.8
METRES_PER_DEGREE = math.radians(1) * EARTH_RADIUS_M


def metres_between(first: tuple[Decimal, Decimal], second: tuple[Decimal, Decimal]) -> float:
    """Return the distance [m] between two points given as latitude and longitude [degree]."""
    north = float(second[0] - first[0])
    middle = math.radians(float(first[0] + second[0]) / 2)
    east = float(second[1] - first[1]) * math.cos(middle)
    return math.hypot(north, east) * METRES_PER_DEGREE


def is_within(point: tuple[Decimal, Decimal], box: Box, buffer_m: float) -> bool:
    """Tell whether a point lies in a box or less than about ``buffer_m`` beside it."""
    latitude, longitude = (float(axis) for axis in point)
    north_south = buffer_m / METRES_PER_DEGREE
    nearest = min(max(latitude, float(box.south)), float(box.north))
    east_west = north_south / max(math.cos(math.radians(nearest)), 1e-6)
    return (
        float(box.south) - north_south <= latitude <= float(box.north) + north_south
        and float(box.west) - east_west <= longitude <= float(box.east) + east_west
    )


def centre(box: Box) -> tuple[Decimal, Decimal]:
    """Return latitude and longitude of the middle of a box."""
    return ((box.south + box.north) / 2, (box.west + box.east) / 2)
