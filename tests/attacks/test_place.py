"""Attacks on the place: boxes, nearest points, the device's error, features, repeat visits.

Numbers 1, 3, 12, 30 and 31 of the list. The attacker aims at garden 3; what may be found is its
published cell, 0.01 degree wide, and nothing inside.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from pyproj import Geod

from surveys.sites.models import Site
from surveys.visits.models import SoilObservation
from tests.attacks.conftest import Tell
from tests.attacks.facts import Change, measure_less_well, move_within_the_cell
from tests.attacks.repeats import visit_again
from tests.attacks.scene import Answers, json_of, nothing, read, rows_of
from tests.portal.publication.villages import CELL, fixed_mint, release, village, village_group

TARGET = (52.8827345, -0.7234567)  # latitude and longitude of garden 3 at first
CENTRE = (52.885, -0.725)
SOUTH, WEST, STEP = 52.88, -0.73, 0.01
HALVINGS, CENTRES, OVERLAPS, REPEATS = 40, 100, 20, 12
WGS84 = Geod(ellps="WGS84")
Box = tuple[float, float, float, float]  # west, south, east, north


@dataclass(frozen=True)
class Loot:
    """What the attacker carries away from one of the twins."""

    halving: Answers
    bisected: tuple[float, float]
    overlaps: list[int]
    nearest: Answers
    features: dict[str, Any]
    visits: list[dict[str, Any]]
    pits: list[dict[str, Any]]


def gardens(change: Change) -> Callable[[], None]:
    """Return the story of a village, one of whose gardens is visited again and again."""

    def story() -> None:
        homes = village(village_group(), range(6))
        for number in range(REPEATS):
            visit_again(homes[3], number)
        change()
        release(1, mint=fixed_mint)

    return story


def mount() -> Loot:
    """Mount every attack of this module."""
    boxes = [f"/api/v1/visits?fields=id&bbox={text_of(box)}" for box in halving_boxes()]
    points = [f"/features/collections/{name}/items?limit=1000" for name in ("visits", "pits")]
    return Loot(
        halving={one: read(one) for one in boxes},
        bisected=bisected(),
        overlaps=[len(rows_in(box)) for box in overlapping_boxes()],
        nearest={one: read(one) for one in questions_of_distance()},
        features={one: json_of(one) for one in points},
        visits=rows_of("visits"),
        pits=rows_of("pits"),
    )


@pytest.fixture(scope="module")
def plain(tell_rows: Tell) -> Loot:
    """Return what is found where gardens are at first."""
    loot: Loot = tell_rows(gardens(nothing), mount)
    return loot


@pytest.fixture(scope="module")
def moved(tell_rows: Tell) -> Loot:
    """Return what is found with every garden elsewhere in its cell."""
    loot: Loot = tell_rows(gardens(move_within_the_cell), mount)
    return loot


def text_of(box: Box) -> str:
    return ",".join(f"{edge:.12f}" for edge in box)


def rows_in(box: Box) -> list[dict[str, Any]]:
    return rows_of("visits", f"&fields=id&bbox={text_of(box)}")


def halving_boxes() -> list[Box]:
    """Return boxes that close in on the target by halving."""
    halves = [2.0 / 2**step for step in range(HALVINGS)]
    latitude, longitude = TARGET
    return [(longitude - h, latitude - h, longitude + h, latitude + h) for h in halves]


def overlapping_boxes() -> list[Box]:
    """Return boxes about the cell that cut it and each other (seed 1)."""
    chance = random.Random(1)  # noqa: S311 -- to be repeated, not to be secret
    boxes = []
    for _ in range(OVERLAPS):
        south, north = sorted(chance.uniform(SOUTH, SOUTH + STEP) for _ in "ab")
        west, east = sorted(chance.uniform(WEST, WEST + STEP) for _ in "ab")
        boxes.append((west, south, east, north))
    return boxes


def bisected() -> tuple[float, float]:
    """Return latitude and longitude at which halving by "does it answer a row" ends."""
    south, north, west, east = 52.0, 53.5, -1.5, 0.0
    while north - south > 1e-6:
        middle = (south + north) / 2
        south, north = (middle, north) if rows_in((west, middle, east, north)) else (south, middle)
    while east - west > 1e-6:
        middle = (west + east) / 2
        west, east = (middle, east) if rows_in((middle, south, east, north)) else (west, middle)
    return (south + north) / 2, (west + east) / 2


def questions_of_distance() -> list[str]:
    chance = random.Random(3)  # noqa: S311 -- to be repeated, not to be secret
    asked = []
    for _ in range(CENTRES // 5):
        point = f"{chance.uniform(52, 53):.5f},{chance.uniform(-1, 0):.5f}"
        asked += [
            f"/api/v1/visits?near={point}",
            f"/api/v1/visits?sort=distance&lat={point}",
            f"/api/v1/planning/where?near={point}",
            f"/features/collections/visits/items?point={point}&radius=50",
            f"/api/v1/summary?by=cell&within={point}",
        ]
    return asked


def test_halving_boxes_find_the_centre_of_the_cell_and_no_garden(plain: Loot, moved: Loot) -> None:
    """1: shrink a box round a point by halves; whichever twin it is, the end is the centre."""
    assert moved.halving == plain.halving
    assert moved.bisected == plain.bisected == pytest.approx(CENTRE, abs=2e-6)
    assert abs(plain.bisected[0] - TARGET[0]) > 0.002, "the target itself is somewhere else"


def test_overlapping_boxes_tell_the_cell_as_a_whole_only(plain: Loot, moved: Loot) -> None:
    """1: difference overlapping boxes inside the cell; each holds all of its records or none."""
    assert moved.overlaps == plain.overlaps
    assert set(plain.overlaps) == {0, 6 + REPEATS}, "both happen, and nothing in between"


def test_nobody_answers_a_question_of_distance(plain: Loot, moved: Loot) -> None:
    """3: what is nearest to a point, from a hundred centres; nothing of the kind is offered."""
    assert len(plain.nearest) == CENTRES
    assert moved.nearest == plain.nearest
    assert {answer.status for answer in plain.nearest.values()} == {400}


def test_features_are_whole_cells_or_their_centre(plain: Loot, moved: Loot) -> None:
    """31: read features as finely as they come; no tiles and no clusters are offered."""
    assert moved.features == plain.features
    for page in plain.features.values():
        (shape,) = {str(feature["geometry"]) for feature in page["features"]}
        numbers = {float(part) for part in shape.translate(BARE).split() if part[-1].isdigit()}
        assert numbers in (set(CENTRE), {SOUTH, 52.89, WEST, -0.72})


BARE = str.maketrans("[](){},:'", " " * 9)


def test_uncertainty_tells_nothing_of_the_device(tell_rows: Tell, plain: Loot) -> None:
    """12: read the device's own error, 3, 30 or 90 m, off the published uncertainty."""
    changed = tell_rows(gardens(measure_less_well), lambda: rows_of("visits"))

    # WGS 84 geodesic by PROJ (pyproj), centre to farthest corner, and 100 m for level 4.
    corners = [(west, south) for west in (WEST, -0.72) for south in (SOUTH, 52.89)]
    farthest_m = max(WGS84.inv(CENTRE[1], CENTRE[0], *corner)[2] for corner in corners)
    assert changed == plain.visits
    assert {row["uncertainty_m"] for row in plain.visits} == {int(farthest_m) + 1 + 100}


def test_mean_of_repeat_visits_is_the_centre_of_the_cell(plain: Loot) -> None:
    """Average the places of many visits to one site; places drawn anew each time would give in."""
    sites = [row["site_id"] for row in plain.visits]
    target = max(set(sites), key=sites.count)
    places = [
        (row["latitude"], row["longitude"]) for row in plain.visits if row["site_id"] == target
    ]

    assert len(places) == 1 + REPEATS
    assert set(places) == {CENTRE}


def test_marks_of_the_ground_are_not_kept_at_all(plain: Loot) -> None:
    """30: find the place by elevation, slope, weather, a soil map; soil is what the pit showed."""
    private = {field.name for field in (*Site._meta.fields, *SoilObservation._meta.fields)}
    words = ("elevation", "altitude", "slope", "aspect", "weather", "temperature", "rain", "map")

    asked = private | set(plain.pits[0])
    assert {"latitude", "moisture"} <= asked
    assert [name for name in asked if any(word in name for word in words)] == []


def test_no_number_of_a_row_is_a_coordinate_but_the_centre(plain: Loot) -> None:
    """Collect every number of every row that could be a coordinate in that country."""
    found = {
        value
        for row in (*plain.visits, *plain.pits)
        for value in row.values()
        if isinstance(value, float) and (52 < value < 53 or -1 < value < 0)
    }

    assert found == set(CENTRE)
    assert {row["cell"] for row in plain.pits} == {CELL}
