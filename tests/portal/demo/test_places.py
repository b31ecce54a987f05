"""The exact places inside the region."""

from decimal import Decimal

import pytest

from portal.demo.people import all_people
from portal.demo.places import moved, places_of
from portal.demo.region import BOX, GROUPS
from surveys.checks.distance import metres_between


def test_every_place_lies_in_the_region() -> None:
    west, south, east, north = map(float, BOX)

    places = [place for person in all_people(318) for place in places_of(person, 318)]

    assert all(south <= p.latitude <= north and west <= p.longitude <= east for p in places)


def test_farmers_have_two_to_four_fields_and_gardeners_one_to_three_gardens() -> None:
    owned = {(p.group, p.code): len(places_of(p, 318)) for p in all_people(318)}

    fields = {number for (group, _), number in owned.items() if group == "VFR"}
    gardens = {number for (group, _), number in owned.items() if group in {"QVD", "OPL"}}
    assert fields == {2, 3, 4}
    assert gardens == {1, 2, 3}


def test_school_ground_is_one_place_near_the_centre() -> None:
    grounds = {place for p in all_people(318) if p.group == "BSC" for place in places_of(p, 318)}

    (ground,) = grounds
    centre_to_ground_m = metres_between(
        _decimal(GROUPS["BSC"].centre), _decimal((ground.latitude, ground.longitude))
    )
    assert centre_to_ground_m <= 60.5


@pytest.mark.parametrize("bearing", [0.0, 1.0, 2.5, 4.0])
def test_moved_point_lies_at_the_distance(bearing: float) -> None:
    here = (52.8, -0.6)

    there = moved(*here, 250.0, bearing)

    assert metres_between(_decimal(here), _decimal(there)) == pytest.approx(250.0, abs=0.5)


def _decimal(point: tuple[float, float]) -> tuple[Decimal, Decimal]:
    return Decimal(str(point[0])), Decimal(str(point[1]))
